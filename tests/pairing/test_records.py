"""Records of the ledger from writing to correcting: a null with its readings, on-air records, comparisons, time lines.

Sets, units, serials and people are invented; check values of the null are cases L1.9 and L1.11 of the tables' laws.
"""

import json
from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from inventory.house.records.actions import strike_out
from inventory.pairing.actions import record_neutralization, record_on_air
from inventory.pairing.models import CompanionCheck, Neutralization, OnAirRecord
from inventory.pairing.queries import last_record, pair_in_depth, told_of, tubes_then
from inventory.pairing.queries.upset import pairs_undone
from inventory.pairing.rules.kept_null import KEYS, fault_in_fit, fault_in_rows, fit_of, kept_null, readings_of, rows_of
from inventory.pairing.rules.null import find_null
from inventory.pairing.rules.null_fit import NullReading
from inventory.pairing.wording.charts import null_charts, time_charts
from tests.counting import asked
from tests.factories import (
    BayFactory,
    ChassisFactory,
    CompanionCheckFactory,
    DisturbanceFactory,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    UnitModelFactory,
)
from tests.pages import seen_at, state_seen

L1_11 = [[20, 41], [25, 28], [30, 16], [35, 6], [40, 12], [45, 24], [50, 37]]  # case L1.11: null at 35.7896


@pytest.fixture
def pair(db):
    """A pair neutralized 50 days ago, with a tube in the one neutralized position since 100 days."""
    fitting = FittingFactory(position=PositionFactory(mark="V101", neutralized=True))
    return NeutralizationFactory(chassis=fitting.chassis, setting="34.5"), fitting


# --- a null that is kept ---------------------------------------------------------------------------------------------


def test_a_fit_is_kept_and_shown_again():
    answer = find_null(readings_of(L1_11), "linear")
    kept = kept_null(json.loads(json.dumps(fit_of(answer))), "linear")
    assert kept is not None and all(getattr(kept, name) == getattr(answer, name) for name in KEYS if name != "warnings")
    assert kept.setting == pytest.approx(35.7895872285, abs=1e-6)
    assert kept.standard_error == pytest.approx(0.0309040951, abs=1e-6)
    assert kept.reading_at(30) == answer.reading_at(30) and kept_null({}, "linear") is None
    wide, narrow = null_charts(kept, readings_of(L1_11))
    assert wide.null_x == null_charts(answer, readings_of(L1_11))[0].null_x and narrow.width < wide.width
    assert len(wide.dots) == 7


@given(
    st.lists(
        st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6), st.sampled_from([1.0, 2.0, 0.5])), min_size=1, max_size=9
    )
)
def test_readings_come_back_as_they_were_taken(rows):
    readings = [NullReading(*row) for row in rows]
    assert readings_of(rows_of(readings)) == readings and fault_in_rows(rows_of(readings)) == ""


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ("30 13", "expected a list"), ([[1]], "reading 1"), ([[1, 2], [3, "x"]], "reading 2"),
        ([[1, True]], "reading 1"), ([[1, float("nan")]], "reading 1"), ([[1, 2]] * 100_000, "at most"),
    ],
)  # fmt: skip
def test_rows_that_are_none(rows, says):
    assert says in fault_in_rows(rows)


@pytest.mark.parametrize(
    "change", [{"setting": "40"}, {"inside": 1}, {"warnings": "none"}, {"points": None}, {"more": 1}]
)
def test_a_fit_that_is_none(change):
    fit = fit_of(find_null(readings_of(L1_11), "linear"))
    assert fault_in_fit(fit) == "" and fault_in_fit(fit | change) and fault_in_fit([]) and fault_in_fit({}) == ""


def test_from_the_finder_to_the_record_and_back(pair, as_keeper, today):
    """Case L1.9: 13, 5, 13 at 30, 40, 50 have their null at 40."""
    null, _ = pair
    ends = {"chassis": null.chassis.tag, "unit": null.unit.tag}
    page = as_keeper.get("/pairings/null-finder/", ends | {"readings": "30 13\n40 5\n50 13", "scale": "linear"})
    handed = urlsplit(page.context["save"])
    assert handed.path == reverse("pairing:neutralize")
    form = as_keeper.get(page.context["save"]).context["form"]
    given_over = {name: value[0] for name, value in parse_qs(handed.query).items() if name not in ends}
    assert given_over["setting"] == "40" and form["setting"].value() == "40"
    cells = given_over | {"chassis": null.chassis_id, "unit": null.unit_id, "on": today, "locked": "true"}
    assert as_keeper.post(page.context["save"], cells).status_code == 302
    row = Neutralization.objects.latest("pk")
    assert (row.readings, row.indicator, row.setting) == ([[30, 13], [40, 5], [50, 13]], "linear", "40")
    assert row.null_fit["setting"] == pytest.approx(40) and row.null_fit["floor"] == pytest.approx(5)
    shown = as_keeper.get(reverse("pairing:neutralization", args=[row.pk]))
    assert "From the null finder" in shown.content.decode() and len(shown.context["charts"]) == 2


FLAT = "30 92\n34 70\n38 41\n40 26\n42 14\n43 12\n44 16\n46 31\n50 62\n54 88"  # see rules/test_null_near.py


def test_what_is_seen_at_the_null_is_asked_for_and_never_the_curves_figure(pair, as_keeper, today):
    null, _ = pair
    ends = {"chassis": null.chassis.tag, "unit": null.unit.tag}
    page = as_keeper.get("/pairings/null-finder/", ends | {"readings": FLAT, "scale": "linear"})
    text = page.content.decode()
    assert "Decided by</dt><dd>the readings near the minimum" in text and "lies above the lowest reading" in text
    assert 40 <= float(page.context["next_setting"]) <= 46
    handed = parse_qs(urlsplit(page.context["save"]).query)
    assert handed["setting"] == ["42.57"] and "null_reading" not in handed
    form = as_keeper.get(page.context["save"]).context["form"]
    assert "null_reading" in [field.name for field in form.first] and not form["null_reading"].value()
    cells = {name: value[0] for name, value in handed.items() if name not in ends} | {
        "chassis": null.chassis_id, "unit": null.unit_id, "on": today, "locked": "true", "null_reading": "12.5",
    }  # fmt: skip
    assert as_keeper.post(page.context["save"], cells).status_code == 302
    assert Neutralization.objects.latest("pk").null_reading == "12.5"


def test_a_reading_taken_at_the_null_itself_is_what_was_seen(pair, as_keeper):
    null, _ = pair
    asked = {"chassis": null.chassis.tag, "unit": null.unit.tag, "readings": "30 13\n40 5\n50 13", "scale": "linear"}
    page = as_keeper.get("/pairings/null-finder/", asked)
    assert parse_qs(urlsplit(page.context["save"]).query)["null_reading"] == ["5"]


def test_a_null_in_a_dead_stretch_is_not_offered_for_the_record(pair, as_keeper):
    """No reading says where in it: nothing to write down, no floor, and nobody says that the curve fits."""
    null, _ = pair
    dead = "10 80\n20 55\n30 28\n34 12\n38 0\n40 0\n42 0\n46 9\n50 22\n60 50"
    ends = {"chassis": null.chassis.tag, "unit": null.unit.tag}
    page = as_keeper.get("/pairings/null-finder/", ends | {"readings": dead, "scale": "linear"})
    text = " ".join(page.content.decode().split())
    assert "save" not in page.context and "Record this" not in text
    assert "the null lies somewhere in the dead stretch" in text
    assert 'Floor</dt><dd class="figure">not known' in text and "the readings beside the dead stretch" in text


def test_the_scales_of_the_chart_go_by_round_steps(as_keeper):
    page = as_keeper.get("/pairings/null-finder/", {"readings": FLAT, "scale": "linear"})
    for chart in page.context["charts"]:
        assert {float(level) % 20 for _, level in chart.levels} == {0} and len(chart.levels) >= 5
        assert {float(mark) % 5 for _, mark in chart.ticks} == {0} and len(chart.ticks) >= 2


def test_readings_without_an_indicator_are_refused(pair, as_keeper, today):
    null, _ = pair
    cells = {"chassis": null.chassis_id, "unit": null.unit_id, "on": today, "setting": "40"}
    answer = as_keeper.post(reverse("pairing:neutralize"), cells | {"readings": "30 13\n40 5\n50 13"})
    assert answer.status_code == 422 and "indicator" in answer.context["form"].errors
    lone = as_keeper.post(reverse("pairing:neutralize"), cells | {"readings": "30 13\n40 5", "indicator": "linear"})
    assert lone.status_code == 422 and "No null" in lone.context["form"].errors["readings"][0]
    assert Neutralization.objects.count() == 1


def test_set_back_as_it_was_in_one_tap(pair, as_helper, today):
    null, _ = pair
    address = f"{reverse('pairing:neutralize')}?chassis={null.chassis.tag}&unit={null.unit.tag}"
    page = as_helper.get(address)
    assert page.context["own"] == null and "34.5" in page.content.decode()
    cells = {"chassis": null.chassis_id, "unit": null.unit_id, "on": today, "again": "34.5"}
    assert as_helper.post(address, cells).status_code == 302
    assert Neutralization.objects.latest("pk").setting == "34.5"


def test_a_setting_with_the_word_or_is_set_back_too(pair, as_helper):
    null, _ = pair
    Neutralization.objects.filter(pk=null.pk).update(setting="34 or 35")
    ends = {"chassis": null.chassis.tag, "unit": null.unit.tag}
    assert as_helper.get("/pairings/neutralize/", ends).context["again"] == "34 or 35"


def test_the_last_record_is_the_pairs_own_or_of_the_same_capacitor(pair, days_ago):
    null, _ = pair
    assert last_record(null.chassis, null.unit) == (null, null)
    late = NeutralizationFactory(chassis=null.chassis, unit=null.unit, on=days_ago(50), at="18:00", setting="35")
    assert last_record(null.chassis, null.unit)[0] == null  # a day without a time ends after all its times
    null.struck = "wrong unit"
    null.save()
    assert last_record(null.chassis, null.unit) == (late, late)
    other = ChassisFactory(model=null.chassis.model, serial="0458")
    own, like = last_record(other, null.unit)
    assert own is None and like in (late, None)


def test_the_missing_side_is_what_sits_there(as_helper, today):
    chassis = ChassisFactory(model__neutralizing="unit")
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
    SeatingFactory(chassis=chassis, unit=unit, bay=BayFactory(set_model=chassis.model))
    form = as_helper.get(reverse("pairing:neutralize"), {"chassis": chassis.tag}).context["form"]
    assert form.initial["unit"] == unit
    form = as_helper.get(reverse("pairing:neutralize"), {"unit": unit.tag}).context["form"]
    assert form.initial["chassis"] == chassis


def test_tubes_then_are_told_from_the_fittings(pair):
    null, fitting = pair
    assert tubes_then(null) == [("V101", [fitting.tube.tag])]
    empty = NeutralizationFactory(chassis__model=null.chassis.model, unit=null.unit)
    assert tubes_then(empty) == [("V101", [])]


# --- correcting ------------------------------------------------------------------------------------------------------


def test_a_stale_correction_is_refused(pair, keeper, helper, today, refused):
    null, _ = pair
    null.save()
    seen = state_seen(null)
    null.setting = "36"
    record_neutralization(null, today=today, by=helper, reason="read again", seen=seen)
    null.setting = "37"
    with refused("seen", "Somebody changed this record"):
        record_neutralization(null, today=today, by=keeper, reason="read again", seen=seen)
    strike_out(null, "wrong unit", by=keeper)
    with refused("on", "struck out: wrong unit"):
        record_neutralization(null, today=today, by=keeper, reason="again", seen=state_seen(null))


@pytest.fixture
def on_air_row(db, days_ago):
    row = OnAirRecord(chassis=ChassisFactory(), on=days_ago(3), antenna_a=1.2, output_w=72, load_ohm=50)
    row.save()
    return row


def test_an_on_air_record_is_corrected_with_a_reason_and_history(on_air_row, as_keeper, keeper, today, refused):
    page = reverse("pairing:on-air-correct", args=[on_air_row.pk])
    seen = as_keeper.get(page).context["form"]["seen"].value()
    cells = {"on": on_air_row.on, "antenna_a": "1.3", "output_w": "72", "load_ohm": "50", "seen": seen}
    assert "reason" in as_keeper.post(page, cells).context["form"].errors
    assert as_keeper.post(page, cells | {"reason": "read the wrong scale"}).status_code == 302
    assert [kept.antenna_a for kept in on_air_row.history.all()] == [1.3, 1.2]
    assert "read the wrong scale" in as_keeper.get(page).content.decode()
    assert as_keeper.post(page, cells | {"reason": "again", "antenna_a": "1.4"}).status_code == 422  # stale
    on_air_row.refresh_from_db()
    strike_out(on_air_row, "another set", by=keeper)
    with refused("on", "struck out: another set"):
        record_on_air(on_air_row, today=today, by=keeper)


def test_a_struck_on_air_record_stays_on_the_page_and_counts_no_more(on_air_row, as_keeper):
    page = reverse("pairing:on-air", args=[on_air_row.chassis.tag])
    strike = reverse("pairing:event-strike", args=["on-air", on_air_row.pk])
    said = {"why": "meter of another set"} | seen_at(as_keeper, strike)
    assert as_keeper.post(strike, said).url == page
    shown = as_keeper.get(page)
    text = shown.content.decode()
    assert 'class="struck"' in text and "meter of another set" in text
    assert shown.context["counting"] == [] and [remarks for _, remarks in shown.context["told"]] == [[]]
    assert reverse("pairing:on-air-correct", args=[on_air_row.pk]) not in text


@pytest.mark.parametrize("name", ["filament_v", "plate_ma", "antenna_a", "output_w", "load_ohm"])
def test_a_meter_that_cannot_be_is_refused(on_air_row, as_keeper, today, name):
    page = reverse("pairing:on-air-add", args=[on_air_row.chassis.tag])
    answer = as_keeper.post(page, {"on": today, "filament_a": "7.9", name: "1e200"})
    assert answer.status_code == 422 and name in answer.context["form"].errors


def test_figures_kept_from_before_that_cannot_be_worked_out_are_told(on_air_row, as_keeper):
    OnAirRecord.objects.update(antenna_a=1e200, output_w=None)
    answer = as_keeper.get(reverse("pairing:on-air", args=[on_air_row.chassis.tag]))
    assert answer.status_code == 200 and "Not worked out" in answer.content.decode()


def test_all_on_air_records_can_be_reached(on_air_row, as_visitor, days_ago):
    for number in range(30):
        OnAirRecord.objects.create(chassis=on_air_row.chassis, on=days_ago(100 - number), antenna_a=1.0)
    page = reverse("pairing:on-air", args=[on_air_row.chassis.tag])
    seen = [row.pk for n in (1, 2, 3) for row, _ in as_visitor.get(page, {"page": n}).context["told"]]
    assert len(seen) == len(set(seen)) == 31
    assert len(as_visitor.get(page, {"page": 3}).context["counting"]) == 31  # the trend is over all of them


def test_a_comparison_is_corrected_with_a_reason(as_keeper):
    check = CompanionCheckFactory()
    page = reverse("pairing:comparison-correct", args=[check.pk])
    seen = as_keeper.get(page).context["form"]["seen"].value()
    cells = {"chassis": check.chassis_id, "outcome": "not matched", "on": check.on, "seen": seen}
    assert "reason" in as_keeper.post(page, cells).context["form"].errors
    assert as_keeper.post(page, cells | {"reason": "pages of another book"}).status_code == 302
    (now, _) = CompanionCheck.objects.get().history.all()
    assert (now.outcome, now.history_change_reason) == ("not matched", "pages of another book")


# --- ledger and time line --------------------------------------------------------------------------------------------


def test_the_ledger_of_each_side_tells_what_bears_on_it(pair, today, days_ago):
    """By design.md 4: a unit set for another chassis is told to the first; what was struck stays, and is marked."""
    null, fitting = pair
    elsewhere = NeutralizationFactory(
        chassis=ChassisFactory(model=null.chassis.model, serial="0458"), unit=null.unit, on=days_ago(20), setting="41"
    )
    DisturbanceFactory(chassis=None, unit=null.unit, on=days_ago(10), note="dropped")
    struck = NeutralizationFactory(chassis=null.chassis, unit=null.unit, on=days_ago(5), struck="wrong day")
    of_chassis = told_of(chassis=null.chassis, on=today)
    kinds = [(line.day, line.kind, bool(line.struck)) for line in of_chassis.lines]
    assert kinds == [
        (struck.on, "neutralized", True),
        (days_ago(10), "disturbed", False),
        (elsewhere.on, "set for another", False),
        (null.on, "neutralized", False),
        (fitting.since, "tube changed", False),
    ]
    late = next(line for line in of_chassis.lines if line.pk == null.pk)
    assert late.entered == today  # written down long after the day it tells of
    of_unit = told_of(unit=null.unit, on=today)
    assert {line.pk for line in of_unit.lines if line.kind == "neutralized"} == {null.pk, elsewhere.pk, struck.pk}


def test_what_the_chart_shows_stands_in_the_words_below_it(pair, today, days_ago):
    null, _ = pair
    DisturbanceFactory(chassis=null.chassis, on=days_ago(20))
    found = pair_in_depth(null.chassis, null.unit, today)
    for chart in time_charts(found.chart):
        dots = " ".join(words for _, _, words, _ in chart.dots)
        for line in found.lines:
            assert line.kind in ("seated", "tube changed") or f"{line.day}: {line.text}" in dots
        assert all(0 <= x <= chart.width and 0 <= y <= chart.height for x, y, _, _ in chart.dots)
    assert [bar[4] for bar in time_charts(found.chart)[0].bars][:2] == [one.text for one in found.states][:2]


@pytest.mark.parametrize("side", ["chassis", "unit"])
def test_a_ledger_that_grows_takes_no_more_questions(pair, as_visitor, days_ago, side):
    null, _ = pair
    address = reverse("pairing:ledger", args=[side, getattr(null, side).tag])

    def more():
        for number in range(10):
            NeutralizationFactory(chassis=null.chassis, unit=null.unit, on=days_ago(40 - number))
            DisturbanceFactory(chassis=null.chassis, on=days_ago(30 - number))

    more()
    few = asked(as_visitor, address)
    more()
    assert asked(as_visitor, address) == few


def test_pairs_that_another_tube_would_undo(pair):
    null, fitting = pair
    assert pairs_undone(null.chassis, fitting.position) == [f"{null.unit} ({null.unit.tag}), now good"]
    (of_model,) = pairs_undone(None, fitting.position)
    assert null.chassis.tag in of_model and null.unit.tag in of_model
    assert pairs_undone(null.chassis, PositionFactory(set_model=null.chassis.model, neutralized=False)) == []


def test_a_station_of_12_sets_and_40_units_on_one_page(as_visitor):
    """Every set, every unit and every state is there, in the matrix and, for a phone, set by set."""
    first = ChassisFactory(model__neutralizing="unit", serial="S00")
    sets = [first, *(ChassisFactory(model=first.model, serial=f"S{number:02d}") for number in range(1, 12))]
    model = UnitModelFactory(fits=[first.model])
    units = [PlugInUnitFactory(model=model, serial=f"N{number:02d}") for number in range(40)]
    for number, unit in enumerate(units):
        NeutralizationFactory(chassis=sets[number % 12], unit=unit)
    page = as_visitor.get(reverse("pairing:station"))
    text = page.content.decode()
    assert all(f">{one.serial}<" in text or one.serial in text for one in (*sets, *units))
    assert len(page.context["view"].rows) == 40 and all(len(line) == 12 for _, _, line in page.context["view"].rows)
