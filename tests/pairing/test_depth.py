"""One pair in depth, the station view, going on the air, the bridge of a model, and mates that should not part."""

import json
from datetime import time
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from inventory.house.concerns import mates_of
from inventory.pairing.actions import record_on_air
from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries import (
    Instead,
    PairFilter,
    bridge_of,
    filament_check,
    on_air,
    pair_in_depth,
    pairing_table,
    station_view,
    told_of,
)
from inventory.pairing.wording.charts import meter_trends
from inventory.pairing.wording.on_air import on_air_as_json, to_do
from inventory.pairing.wording.on_air_record import on_air_remarks
from inventory.sets.models import SetModel
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    DisturbanceFactory,
    EveryState,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeFactory,
    UnitModelFactory,
)
from tests.pages import page_text
from tubes.models import TubeType

pytestmark = pytest.mark.django_db


def test_the_station_view_shows_the_states_of_the_pairing_table(db, today, days_ago):
    EveryState()
    for on in (today, days_ago(45)):
        view = station_view(on)
        seen = {(chassis.tag, unit.tag): state for unit, _, line in view.rows for chassis, state in line if state}
        told = {(r.chassis.tag, r.unit.tag): r.state for r in pairing_table(on, PairFilter(kinds=("unit",)))}
        assert seen == told and len(set(told.values())) >= 4


def test_the_station_view_asks_no_more_for_more(today):
    EveryState()
    assert cost(lambda: station_view(today)) == 7
    for _ in range(3):
        chassis = ChassisFactory()
        unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
        NeutralizationFactory(chassis=chassis, unit=unit)
        DisturbanceFactory(unit=unit)
    assert cost(lambda: station_view(today)) == 7


def test_the_page_of_a_pair_says_that_a_tube_was_out_and_is_back(today, days_ago, as_visitor):
    position = PositionFactory(neutralized=True)
    chassis = ChassisFactory(model=position.set_model)
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
    first = FittingFactory(chassis=chassis, position=position, since=days_ago(50), until=days_ago(20))
    NeutralizationFactory(chassis=chassis, unit=unit, on=days_ago(40), setting="31.5")
    FittingFactory(chassis=chassis, position=position, tube=first.tube, since=days_ago(18))
    row = pair_in_depth(chassis, unit, today).row
    words = f"tube {first.tube.tag} taken out on {days_ago(20)} and put back on {days_ago(18)}"
    assert row.state == "good" and words in row.reasons[1].text
    page = page_text(as_visitor.get(f"/pairings/{chassis.tag}/{unit.tag}/"))
    assert f"{first.tube.tag} taken out on" in page and "the setting stands (common practice, no source)" in page


def test_a_tube_out_on_the_day_it_went_in_is_told_after_it(today, days_ago):
    """Only the time it went in is known; it came out later that day, and the ledger has the latest first."""
    position = PositionFactory(neutralized=True)
    chassis = ChassisFactory(model=position.set_model)
    row = FittingFactory(chassis=chassis, position=position, since=days_ago(5), since_at=time(8, 48), until=days_ago(5))

    def lines():
        told = told_of(chassis=chassis, on=today).lines
        return [(line.text, line.at) for line in told if line.text.startswith(f"{position.mark}: ")]

    out_and_in = [
        (f"{position.mark}: {row.tube.tag} out.", None),
        (f"{position.mark}: {row.tube.tag} in.", time(8, 48)),
    ]
    assert lines() == out_and_in
    other = FittingFactory(chassis=chassis, position=position, since=days_ago(5), since_at=time(9, 30))
    assert lines() == [(f"{position.mark}: {other.tube.tag} in.", time(9, 30)), *out_and_in]


def test_a_pair_in_depth_tells_its_states_one_after_another(today, days_ago):
    chassis = ChassisFactory(model__neutralizing="unit")
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
    NeutralizationFactory(chassis=chassis, unit=unit, on=days_ago(40), setting="31.5")
    DisturbanceFactory(chassis=chassis, unit=None, on=days_ago(20), cause="repair")
    NeutralizationFactory(chassis=chassis, unit=unit, on=days_ago(10), setting="33")
    found = pair_in_depth(chassis, unit, today)
    states = [span.text for span in found.chart.lanes[0].spans]
    assert states == ["good", "due", "good"]
    assert found.chart.lanes[0].spans[0].left == 0 and found.chart.lanes[0].spans[-1].right == 1
    assert [line.kind for line in found.lines] == ["neutralized", "disturbed", "neutralized"]
    assert [(s.start, s.end, s.text) for s in found.states] == [
        (days_ago(40), days_ago(20), "good"),
        (days_ago(20), days_ago(10), "due"),
        (days_ago(10), today, "good"),
    ]
    assert "setting 31.5" in found.lines[-1].text
    assert pair_in_depth(ChassisFactory(), unit, today) is None


def test_on_air_names_the_units_of_a_frequency_readiest_first(today, days_ago):
    chassis = ChassisFactory(model__neutralizing="unit", serial="01432")
    model = UnitModelFactory(fits=[chassis.model], low_kc=3000, high_kc=4500)
    far = UnitModelFactory(fits=[chassis.model], low_kc=6000, high_kc=8000)
    due, good = PlugInUnitFactory(model=model, serial="9"), PlugInUnitFactory(model=model, serial="8")
    PlugInUnitFactory(model=far)
    NeutralizationFactory(chassis=chassis, unit=good, on=days_ago(3), setting="37.5")
    answer = on_air(chassis, 3600, today)
    assert [(u.row.unit.tag, u.row.state) for u in answer.units] == [(good.tag, "good"), (due.tag, "due")]
    assert "stands" in to_do(answer.units[0]) and "Neutralize first" in to_do(answer.units[1])
    out = StringIO()
    call_command("on_air", "01432", "--frequency", "3.6 Mc", "--json", stdout=out)
    told = json.loads(out.getvalue())
    assert told == on_air_as_json(answer)
    assert list(told) == ["chassis", "frequency_kc", "units"]
    assert list(told["units"][0]) == ["unit", "state", "setting", "reasons", "todo"]


@pytest.mark.parametrize("text", ["1432", "", "Skerry"])
def test_on_air_asks_for_one_chassis(text):
    ChassisFactory(serial="01432", model__name="Skerry 9"), ChassisFactory(serial="77", model__name="Skerry 8")
    with pytest.raises(CommandError) as refusal:
        call_command("on_air", text, "--frequency", "3.6 Mc")
    assert refusal.value.returncode == 2


def test_the_filament_current_names_the_position_that_is_dead(db):
    """Four 10 V 3.25 A tubes as two series pairs and one 7.5 V 1.25 A tube draw 7.75 A (common practice, no source)."""
    chassis = ChassisFactory()
    marks = [("V1", "A", "211"), ("V2", "A", "211"), ("V3", "B", "838"), ("V4", "B", "838"), ("V5", "C", "801A")]
    for mark, branch, name in marks:
        kind = TubeType.objects.get(name=name)
        position = PositionFactory(set_model=chassis.model, mark=mark, heater_branch=branch, type=kind)
        FittingFactory(chassis=chassis, position=position, tube=TubeFactory(type=kind))
    assert filament_check(chassis, 7.9).expected_a == pytest.approx(7.75)
    assert filament_check(chassis, 6.5).likely == "V5"
    assert set(filament_check(chassis, 4.5).suspects) == {"V1", "V2", "V3", "V4"}


def test_an_on_air_record_is_checked_where_figures_are_there(keeper, today):
    """80 W into 50 ohm is 1.26 A (I = sqrt(P/R)), not readable on an 8 A square-law meter (47 CFR 73.1215, a third)."""
    chassis = ChassisFactory(model__rated_power_w=100.0)
    row = OnAirRecord(chassis=chassis, on=today, output_w=80, load_ohm=50, antenna_a=1.3, antenna_scale_a=8)
    antenna, power = on_air_remarks(record_on_air(row, today=today, by=keeper))
    assert "1.26 A expected" in antenna.text and antenna.agrees is None  # below a third of the scale
    assert "100 W" in power.text and power.agrees is True
    row = OnAirRecord(chassis=chassis, on=today, output_w=80, load_ohm=50, antenna_a=3, antenna_scale_a=6)
    assert on_air_remarks(record_on_air(row, today=today, by=keeper))[0].agrees is False
    beyond = OnAirRecord(chassis=chassis, on=today, antenna_a=9, antenna_scale_a=8, output_w=80, load_ohm=50)
    assert "beyond the full scale of 8 A" in on_air_remarks(beyond)[0].text
    assert on_air_remarks(OnAirRecord(chassis=chassis, on=today)) == []


def test_the_bridge_of_a_model_uses_the_capacitance_of_the_tables():
    """Cn = Cgp Np/Nn: 14.5 pF with 12 and 18 turns is 9.667 pF (case L1.3; ratio derived from the bridge)."""
    model = SetModel.objects.create(
        name="Bridgemoor 3",
        neutralizing="unit",
        bridge_circuit="plate-tap",
        bridge={"np": 12, "nn": 18},
        cn_min_pf=4,
        cn_max_pf=12,
    )
    PositionFactory(set_model=model, mark="V1", neutralized=True, type=TubeType.objects.get(name="211"))
    line, instead = bridge_of(model, Instead("842"))
    assert line.cgp_pf == 14.5 and line.cn_pf == pytest.approx(9.666666666666666)
    assert line.range.fits and line.grade == "stated"
    assert instead.cn_pf is None and "not known" in instead.text


def test_what_belongs_together_is_named_before_it_parts(as_keeper):
    kind = CompanionKindFactory(name="calibration book")
    meter = ChassisFactory(model=kind.set_model, serial="4417")
    book = CompanionFactory(kind=kind, mate_serial="4417")
    assert mates_of(meter.item) == [f"calibration book 4417 ({book.tag})"]
    assert mates_of(book.item) == [f"{kind.set_model.name} 4417 ({meter.tag})"]
    for page in ("move", "lend", "part-with"):
        answer = as_keeper.get(f"/things/{book.tag}/{page}/")
        assert "It belongs together with" in answer.content.decode()


def test_the_null_finder_page_works_by_its_address(as_keeper):
    """Case L1.9: readings 13, 5, 13 at 30, 40, 50 have their null at 40, floor 5."""
    page = as_keeper.get("/pairings/null-finder/", {"readings": "30 13\n40 5\n50 13", "scale": "linear"})
    assert page.status_code == 200 and page.context["fit"].setting == pytest.approx(40)
    assert page.context["fit"].floor == pytest.approx(5)
    assert "Record this as a neutralization" in page.content.decode()
    assert as_keeper.get("/pairings/null-finder/", {"readings": "30 13\n40 5", "scale": "linear"}).status_code == 422
    assert as_keeper.get("/pairings/null-finder/", {"readings": "no figures", "scale": "linear"}).status_code == 422


def test_each_meter_has_a_trend_of_its_own(as_visitor, days_ago):
    chassis = ChassisFactory()
    for ago, amps, watts in ((60, 1.3, 85), (30, 1.25, None), (1, 1.1, 70)):
        OnAirRecord.objects.create(chassis=chassis, on=days_ago(ago), antenna_a=amps, output_w=watts)
    OnAirRecord.objects.create(chassis=chassis, on=days_ago(1), plate_ma=220)
    trends = {t.label: t for t in meter_trends(chassis.on_air_records.all())}
    assert set(trends) == {"antenna current, A", "output, W"}  # one day of plate current is no trend
    assert len(trends["antenna current, A"].dots) == 3
    assert f"1.3 on {days_ago(60)}, 1.1 on {days_ago(1)}; lowest 1.1, highest 1.3" in trends["antenna current, A"].words
    assert "Over time" in as_visitor.get(f"/on-air/{chassis.tag}/").content.decode()
