"""The neutralizing circuit of a set model: the types wanted, one put in instead, and what the old setting leaves.

Cases L1.1 to L1.7 follow from balancing two currents into one point (derived from the bridge; Hoag, Basic Radio,
ch. 28, names the circuits). Capacitances of 211, 845 and 801A are those of the reference table.
"""

import pytest

from inventory.pairing.queries import Instead, bridge_of
from inventory.sets.models import SetModel
from tests.factories import PositionFactory, UnitModelFactory
from tubes.models import TubeType

pytestmark = pytest.mark.django_db


def model_of(circuit, types=("211",), **more):
    row = SetModel.objects.create(name=f"Bridgemoor {circuit}", neutralizing="unit", bridge_circuit=circuit, **more)
    for number, name in enumerate(types, 1):
        PositionFactory(set_model=row, mark=f"V{number}", neutralized=True, type=TubeType.objects.get(name=name))
    return row


def test_two_tubes_in_parallel_add_and_in_push_pull_each_has_its_own():
    """L1.6: in push-pull 5.5 each; two in parallel with equal taps 11.0. Here with 14.5 pF each: 14.5 and 29."""
    taps = {"bridge": {"np": 10, "nn": 10}}
    (parallel,) = bridge_of(model_of("plate-tap", ("211", "211"), sharing="parallel", **taps))
    assert (parallel.position, parallel.tubes, parallel.cgp_pf, parallel.cn_pf) == ("V1 + V2", 2, 29, 29)
    each = bridge_of(model_of("cross", ("211", "211")))
    assert [(line.position, line.cn_pf) for line in each] == [("V1", 14.5), ("V2", 14.5)]


def test_where_nobody_has_said_how_they_share_both_ways_are_told():
    lines = bridge_of(model_of("grid-tap", ("211", "211"), bridge={"ng": 10, "nx": 10}))
    assert [(line.tubes, line.cn_pf) for line in lines] == [(1, 14.5), (1, 14.5), (2, 29)]
    assert "Only if they work in parallel" in lines[2].remarks[0]


def test_a_substitute_in_a_split_stator_circuit_takes_its_output_capacitance_from_the_tables():
    """L1.4 with a 211: 14.5 * 100/(100 + 5.5) = 13.744; an 845: 13.5 * 100/(100 + 6.5) by its own 6.5 pF."""
    row = model_of("split-stator", bridge={"ca": 100, "cb": 100, "cpk": 5.5}, cn_min_pf=5, cn_max_pf=13)
    wanted, instead = bridge_of(row, Instead("845"))
    assert wanted.cn_pf == pytest.approx(13.744075829383886)
    assert not wanted.range.fits and "0.744 pF outside" in wanted.text
    assert instead.cn_pf == pytest.approx(13.5 * 100 / 106.5) and instead.range.fits
    assert "output capacitance in the tables" in instead.remarks[0] and "screen" in instead.remarks[0]
    (_, asked) = bridge_of(row, Instead("845", cpk=12.0))
    assert asked.cn_pf == pytest.approx(13.5 * 100 / 112) and asked.remarks == ("12 pF, as given.",)


def test_a_substitute_in_a_grid_bridge_takes_its_input_capacitance_from_the_tables():
    """Cn = Cgp Cb/Cgf (common practice): a 211 with 13 pF given, an 801A with the 4.5 pF of the table."""
    row = model_of("grid-bridge", bridge={"cb": 680, "cgf": 13})
    wanted, instead = bridge_of(row, Instead("801A"))
    assert wanted.cn_pf == pytest.approx(14.5 * 680 / 13)
    assert instead.cn_pf == pytest.approx(6 * 680 / 4.5)


def test_a_figure_that_no_table_has_is_asked_for():
    row = model_of("split-stator", bridge={"ca": 100, "cb": 100, "cpk": 5.5})
    own = TubeType.objects.create(name="ZZ9")
    own.ratings.create(cgp_pf=7.0)
    assert "give it below" in bridge_of(row, Instead("ZZ9"))[1].text
    assert bridge_of(row, Instead("ZZ9", cpk=5.5))[1].cn_pf == pytest.approx(7 * 100 / 105.5)
    assert "not known" in bridge_of(row, Instead("842"))[1].text


def test_what_couples_still_at_the_old_setting():
    """L1.7: 0.6 pF are 75788.068139 ohm at 3.5 Mc and half that at 7.0 Mc. Left alone, Cr = Cgp - Cn Nn/Np."""
    row = model_of("plate-tap", bridge={"np": 12, "nn": 18})
    TubeType.objects.create(name="ZZ8").ratings.create(cgp_pf=15.1)
    UnitModelFactory(fits=[row], low_kc=1500, high_kc=7000)
    left = bridge_of(row, Instead("ZZ8"))[1].old_setting
    assert left.residual_pf == pytest.approx(0.6)
    assert (left.frequency_kc, left.reactance_ohm) == (7000, pytest.approx(37894.0340695, abs=1e-3))
    left = bridge_of(row, Instead("ZZ8", frequency_kc=3500.0))[1].old_setting
    assert left.reactance_ohm == pytest.approx(75788.068139, abs=1e-3)
    assert left.change_pf == pytest.approx(0.6 * 12 / 18) and left.cn_ratio == pytest.approx(15.1 / 14.5)
    assert bridge_of(row, Instead("211"))[1].old_setting.same


def test_the_page_answers_and_asks(as_visitor):
    row = model_of("split-stator", bridge={"ca": 100, "cb": 100, "cpk": 5.5})
    page = as_visitor.get(f"/set-models/{row.pk}/bridge/", {"type": "845"})
    text = page.content.decode()
    assert page.status_code == 200 and "12.68 pF" in text and "Left at that setting" in text
    assert "its plate to cathode, pf" in text.lower() and "its grid to filament" not in text.lower()
    for bad in (
        {"type": "no such"},
        {"type": "zz\0"},
        {"type": "845", "cpk": "-1"},
        {"type": "845", "cpk": "nan"},
        {"type": ""},
    ):
        assert as_visitor.get(f"/set-models/{row.pk}/bridge/", bad).status_code == 422
    assert as_visitor.get(f"/set-models/{row.pk}/bridge/", {"type": "845", "frequency": "3.6"}).status_code == 422


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        ({"bridge_circuit": "cross", "sharing": "parallel"}, "sharing"),
        ({"bridge_circuit": "cross", "rated_power_w": "0"}, "rated_power_w"),
        ({"bridge_circuit": "cross", "filament_supply_v": "-24"}, "filament_supply_v"),
    ],
)
def test_figures_that_make_no_circuit_are_refused(as_keeper, cells, field):
    row = model_of("cross")
    page = as_keeper.post(f"/set-models/{row.pk}/bridge/change/", cells)
    assert page.status_code == 422 and page.context["form"].errors[field]
