"""The pairing table from rows: every state by hand, and page, command and API give one and the same answer.

The states are the design's own rules for pairs (common practice, no source).
"""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from inventory.pairing.models import Companion
from inventory.pairing.queries import (
    ALL_STATES,
    COMPANION,
    UNIT,
    PairFilter,
    companions_to_settle,
    pairing_table,
    pairs_open,
    told_of,
)
from inventory.sets.models import Chassis, PlugInUnit, SetModel
from tests.counting import statements
from tests.factories import (
    ChassisFactory,
    CompanionCheckFactory,
    DisturbanceFactory,
    EveryState,
    FittingFactory,
    NeutralizationFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeFactory,
    UnitModelFactory,
)

pytestmark = pytest.mark.django_db
KEYS = ["chassis", "unit", "state", "setting", "reasons", "covers_kc"]


@pytest.fixture
def house(db):
    return EveryState()


def told(rows):
    """The table as dictionaries, by what tells a row apart."""
    return {(r["chassis"]["serial"], r["unit"]["model"], r["unit"]["serial"]): (r["state"], r["setting"]) for r in rows}


def table(on, **wanted):
    return told(row.as_dict() for row in pairing_table(on, PairFilter(**wanted)))


def command(*arguments):
    out, err = StringIO(), StringIO()
    call_command("pairings", "--json", *arguments, stdout=out, stderr=err)
    assert err.getvalue() == ""
    return json.loads(out.getvalue())


def test_every_state_as_worked_out_by_hand(house, today):
    assert table(today) == EveryState.expected
    assert {state for state, _ in EveryState.expected.values()} == set(ALL_STATES)
    rows = pairing_table(today)
    assert len(rows) == len(EveryState.expected)
    assert all(row.reasons and all(reason.text for reason in row.reasons) for row in rows)


def test_command_api_and_page_give_the_same_answer(house, today, as_visitor):
    rows = [row.as_dict() for row in pairing_table(today)]
    assert command() == rows
    assert as_visitor.get("/api/pairings").json() == rows
    assert [row.as_dict() for row in as_visitor.get("/pairings/").context["rows"]] == rows


def test_the_chassis_page_shows_its_rows_of_the_table(house, today, as_visitor):
    for chassis in (house.first, house.second, house.third):
        context = as_visitor.get(f"/sets/{chassis.tag}/").context
        whole = [row for row in pairing_table(today) if row.chassis.key == chassis.pk]
        assert whole
        assert context["pairs"] == [row for row in whole if row.kind == UNIT]
        assert context["companions"] == [row for row in whole if row.kind == COMPANION]


def test_the_unit_page_shows_its_rows_of_the_table(house, today, as_visitor):
    for unit in (house.low, house.high):
        rows = [r for r in pairing_table(today, PairFilter(kinds=(UNIT,))) if r.unit.key == unit.pk]
        assert as_visitor.get(f"/units/{unit.tag}/").context["pairs"] == rows != []


def test_a_line_has_the_promised_shape(house, today):
    rows = command()
    assert all(list(row) == KEYS for row in rows)
    row = next(r for r in rows if r["state"] == "reset and verify")
    chassis, unit = Chassis.objects.get(serial="0458"), PlugInUnit.objects.get(serial="77")
    assert row["chassis"] == {"model": "Ostercape TX 5", "serial": "0458", "tag": chassis.tag}
    assert row["unit"] == {"model": "Ostercape drawer high", "serial": "77", "tag": unit.tag}
    assert (row["setting"], row["covers_kc"]) == ("34.5", [3000.0, 6000.0])
    (reason,) = row["reasons"]
    assert list(reason) == ["date", "cause", "text"]
    assert reason["date"] == NeutralizationFactory._meta.model.objects.get(setting="41").on.isoformat()
    assert "01432" in reason["text"] and "34.5" in reason["text"]


# --- narrowing -------------------------------------------------------------------------------------------------------


def only(serial=None, unit=None, table=None):
    rows = table or EveryState.expected
    return {k: v for k, v in rows.items() if serial in (None, k[0]) and unit in (None, k[1])}


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({"chassis": "01432"}, only("01432")),
        ({"chassis": "1432"}, {}),  # 01432 is not 1432
        ({"chassis": "tarnhollow 61"}, only("61")),
        ({"unit": "drawer low"}, only(unit="Ostercape drawer low")),
        ({"unit": "77"}, only(unit="Ostercape drawer high")),
        ({"chassis": "0458", "unit": "77"}, only("0458", "Ostercape drawer high")),
        ({"frequency": "2 Mc"}, only(unit="Ostercape drawer low")),
        ({"frequency": "4500 kc"}, only(unit="Ostercape drawer high")),
        ({"frequency": "3 Mc"}, EveryState.UNITS),  # both drawers reach it
        ({"frequency": "9 Mc"}, {}),
    ],
)
def test_command_api_and_page_narrow_alike(house, as_visitor, query, expected):
    options = [f"--{name}={value}" for name, value in query.items()]
    assert told(command(*options)) == expected
    assert told(as_visitor.get("/api/pairings", query).json()) == expected
    assert told(row.as_dict() for row in as_visitor.get("/pairings/", query).context["rows"]) == expected


@pytest.mark.parametrize("state", ALL_STATES)
def test_api_and_page_narrow_by_state(house, as_visitor, state):
    expected = {key: value for key, value in EveryState.expected.items() if value[0] == state}
    assert told(as_visitor.get("/api/pairings", {"state": state}).json()) == expected
    page = as_visitor.get("/pairings/", {"state": state})
    assert told(row.as_dict() for row in page.context["rows"]) == expected


def test_several_states(house, as_visitor):
    rows = as_visitor.get("/api/pairings", {"state": ["due", "good"]}).json()
    assert {row["state"] for row in rows} == {"due", "good"} and len(rows) == 2


def test_a_tag_names_a_chassis_too(house, today):
    assert set(table(today, chassis=house.third.tag.lower())) == {("61", "Ostercape drawer low", "0458")}


def test_the_day_of_the_question(house, as_visitor, days_ago):
    """Before the unit was set for 01432 it was good on 0458; before either, both were due."""
    pair, other = ("0458", "Ostercape drawer high", "77"), ("01432", "Ostercape drawer high", "77")
    for day, states in (
        (39, ("reset and verify", "good")),
        (40, ("reset and verify", "good")),
        (41, ("good", "due")),
        (50, ("good", "due")),
        (51, ("due", "due")),
    ):
        on = days_ago(day).isoformat()
        for rows in (command(f"--on={on}"), as_visitor.get("/api/pairings", {"on": on}).json()):
            assert (told(rows)[pair][0], told(rows)[other][0]) == states, day


@pytest.mark.parametrize(
    ("query", "field"),
    [({"frequency": "3600"}, "frequency"), ({"on": "yesterday"}, "on"), ({"state": "splendid"}, "state")],
)
def test_a_question_that_cannot_be_read(house, as_visitor, query, field):
    answer = as_visitor.get("/api/pairings", query)
    assert answer.status_code == 400 and list(answer.json()["errors"]) == [field]
    page = as_visitor.get("/pairings/", query)
    assert page.status_code == 422 and list(page.context["form"].errors) == [field]


@pytest.mark.parametrize("argument", ["--frequency=3600", "--frequency=6 V", "--on=31.12.2025"])
def test_a_command_that_cannot_be_read_exits_2(house, argument):
    with pytest.raises(CommandError) as refusal:
        call_command("pairings", argument)
    assert refusal.value.returncode == 2
    assert argument.split("=")[1] in str(refusal.value)


def test_the_command_tells_people_the_reasons(house, capsys):
    call_command("pairings", "--chassis=0458", "--unit=77")
    out, err = capsys.readouterr()
    assert "Ostercape TX 5 0458 with Ostercape drawer high 77: reset and verify, setting 34.5" in out
    assert "01432" in out and out.rstrip().endswith("1 pairs") and err == ""


# --- events ----------------------------------------------------------------------------------------------------------


@pytest.fixture
def pair():
    """A pair neutralized 50 days ago, with a tube in the one neutralized position since 100 days."""
    fitting = FittingFactory(position=PositionFactory(mark="V101", neutralized=True))
    null = NeutralizationFactory(chassis=fitting.chassis, setting="34.5")
    return null, fitting


def state(on, null):
    (row,) = pairing_table(on, PairFilter(chassis_key=null.chassis_id, unit_key=null.unit_id, kinds=(UNIT,)))
    return row


def test_undisturbed_it_is_good(pair, today):
    row = state(today, pair[0])
    assert (row.state, row.setting) == ("good", "34.5")


def test_another_tube_in_a_neutralized_position_makes_it_due(pair, today, days_ago):
    null, fitting = pair
    fitting.until = days_ago(10)
    fitting.save()
    new = FittingFactory(position=fitting.position, chassis=fitting.chassis, since=days_ago(10))
    row = state(today, null)
    assert row.state == "due"
    assert [(r.date, r.cause) for r in row.reasons] == [(days_ago(10), "tube changed")]
    assert fitting.tube.tag in row.reasons[0].text and new.tube.tag in row.reasons[0].text
    assert state(days_ago(11), null).state == "good"


def test_another_tube_elsewhere_does_not(pair, today, days_ago):
    null, fitting = pair
    other = PositionFactory(set_model=fitting.position.set_model, mark="V102", neutralized=False)
    FittingFactory(position=other, chassis=fitting.chassis, since=days_ago(3))
    assert state(today, null).state == "good"


def test_the_same_tube_put_back_does_not(pair, today, days_ago):
    null, fitting = pair
    fitting.until = days_ago(10)
    fitting.save()
    FittingFactory(position=fitting.position, chassis=fitting.chassis, tube=fitting.tube, since=days_ago(9))
    assert state(today, null).state == "good"


@pytest.mark.parametrize("ends", ["unit", "chassis", "both"])
def test_a_disturbance_since_makes_it_due(pair, today, days_ago, ends):
    null, _ = pair
    of = {"unit": {"unit": null.unit, "chassis": None}, "chassis": {"chassis": null.chassis}}
    DisturbanceFactory(**of.get(ends, {"unit": null.unit, "chassis": null.chassis}), on=days_ago(20))
    row = state(today, null)
    assert row.state == "due" and row.reasons[0].date == days_ago(20)
    assert "knock or fall" in row.reasons[0].text
    assert state(days_ago(21), null).state == "good"


def test_a_disturbance_before_or_of_others_does_not(pair, today, days_ago):
    null, _ = pair
    DisturbanceFactory(chassis=null.chassis, on=days_ago(60))
    DisturbanceFactory(on=days_ago(2))
    DisturbanceFactory(chassis=ChassisFactory(model=null.chassis.model), unit=null.unit, on=days_ago(2))
    assert state(today, null).state == "good"


def test_the_capacitor_of_the_chassis_is_set_for_one_unit(today, days_ago):
    chassis = ChassisFactory(model__neutralizing=SetModel.IN_CHASSIS)
    units = PlugInUnitFactory.create_batch(2, model=UnitModelFactory(fits=[chassis.model]))
    first = NeutralizationFactory(chassis=chassis, unit=units[0], on=days_ago(9), setting="12")
    last = NeutralizationFactory(chassis=chassis, unit=units[1], on=days_ago(5), setting="17")
    assert (state(today, first).state, state(today, first).setting) == ("reset and verify", "12")
    assert state(today, last).state == "good"


def test_without_a_written_setting_there_is_nothing_to_reset(house, today):
    house.first.neutralizations.update(setting="")
    assert table(today)["0458", "Ostercape drawer high", "77"] == ("due", None)


def test_a_back_dated_entry_gives_the_same_answer(today, days_ago):
    """Events of one pair entered forwards and backwards: one state, one set of reasons."""
    answers = []
    for order in (1, -1):
        chassis = ChassisFactory(serial="55")
        unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]), serial="56")
        position = PositionFactory(set_model=chassis.model, neutralized=True, mark="V1")
        old, new = TubeFactory(), TubeFactory()
        events = [
            lambda c=chassis, p=position, t=old: FittingFactory(
                chassis=c, position=p, tube=t, since=days_ago(90), until=days_ago(8)
            ),
            lambda c=chassis, u=unit: NeutralizationFactory(chassis=c, unit=u, on=days_ago(30), setting="5"),
            lambda u=unit: DisturbanceFactory(chassis=None, unit=u, on=days_ago(12)),
            lambda c=chassis, p=position, t=new: FittingFactory(chassis=c, position=p, tube=t, since=days_ago(8)),
        ]
        for event in events[::order]:
            event()
        row = state(today, chassis.neutralizations.get())
        answers.append((row.state, row.setting, [(r.date, r.cause) for r in row.reasons]))
    assert answers[0] == answers[1]
    assert answers[0] == ("due", "5", [(days_ago(12), "disturbed"), (days_ago(8), "tube changed")])


def test_things_that_left_drop_out_on_that_day(house, today, days_ago):
    house.second.item.gone_on = days_ago(10)
    house.second.item.save()
    assert not any(key[0] == "01432" for key in table(today) if key[1] != "calibration book")
    assert table(days_ago(11))["01432", "Ostercape drawer high", "77"] == ("good", "41")


def test_a_comparison_counts_more_than_a_number(house, today, days_ago):
    book = house.second.companions.get()  # says 999, kept with 01432
    CompanionCheckFactory(companion=book, chassis=house.second, outcome="matched", on=days_ago(3))
    assert table(today)["01432", "calibration book", "999"] == ("matched", None)
    assert table(days_ago(4))["01432", "calibration book", "999"] == ("not matched", None)


def test_what_needs_a_hand(house, today):
    assert [(r.chassis.serial, r.unit.serial) for r in pairs_open(today) if r.state == "due"] == [("01432", "0458")]
    assert {r.state for r in companions_to_settle(today)} == {"not matched", "mate missing", "unknown"}
    assert len(companions_to_settle(today)) == 6


def test_the_ledger_tells_the_events_in_order(pair, today, days_ago):
    null, fitting = pair
    DisturbanceFactory(chassis=null.chassis, on=days_ago(20), note="slid off the cart")
    lines = told_of(chassis=null.chassis, on=today).lines
    assert [(line.day, line.kind) for line in lines] == [
        (days_ago(20), "disturbed"),
        (days_ago(50), "neutralized"),
        (days_ago(100), "tube changed"),
    ]
    assert lines[0].note == "slid off the cart" and "34.5" in lines[1].text and fitting.tube.tag in lines[2].text
    assert [line.kind for line in told_of(unit=null.unit, on=today).lines] == ["disturbed", "neutralized"]


def test_one_companion_is_asked_about_alone(house, today, days_ago):
    """Its line is that of the whole table, and nothing of the others is fetched for it."""
    for number, book in enumerate(Companion.objects.all()):
        CompanionCheckFactory(companion=book, chassis=house.second, outcome="matched", on=days_ago(number + 1))
    whole = {row.unit.key: row for row in pairing_table(today, PairFilter(kinds=(COMPANION,))) if row.unit.key}
    assert len(whole) == Companion.objects.count() > 1
    for key, row in whole.items():
        assert pairing_table(today, PairFilter(companion_key=key)) == [row]
    sent = statements(lambda: pairing_table(today, PairFilter(companion_key=key)))
    about = [one.partition(" WHERE ")[2] for one in sent if 'FROM "pairing_companion' in one]
    assert len(about) == 2 and all(f'"companion_id" = {key}' in one or f'"item_id" = {key}' in one for one in about)
