"""Who goes on the air has the dial set for the unit in use: on-air records as evidence (common practice, no source)."""

import json
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.urls import reverse

from inventory.house.records.actions import strike_out
from inventory.pairing.actions import record_on_air
from inventory.pairing.models import Neutralization, OnAirRecord
from inventory.pairing.queries import on_air, pair_in_depth, pairing_table, station_view, told_of
from inventory.pairing.wording.on_air import to_do
from tests.counting import asked
from tests.factories import ChassisFactory, NeutralizationFactory, PlugInUnitFactory, UnitModelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def trio(days_ago):
    """A chassis with the capacitor in it, and two units; the first was neutralized last, at 42."""
    chassis = ChassisFactory(serial="01432", model__neutralizing="chassis")
    model = UnitModelFactory(fits=[chassis.model])
    one, other = PlugInUnitFactory(model=model, serial="0458"), PlugInUnitFactory(model=model, serial="0611")
    NeutralizationFactory(chassis=chassis, unit=other, on=days_ago(40), setting="")
    NeutralizationFactory(chassis=chassis, unit=one, on=days_ago(30), setting="42")
    return chassis, one, other


def states(today):
    rows = {row.unit.serial: row for row in pairing_table(today)}
    assert {u.serial: line[0][1] for u, _, line in station_view(today).rows} == {k: r.state for k, r in rows.items()}
    return rows


def sent(chassis, unit, on, **more):
    cells = {"unit": unit.pk, "on": on, "plate_ma": "102"} | more
    return reverse("pairing:on-air-add", args=[chassis.tag]), cells


def test_another_unit_on_the_air_sets_the_dial_for_it(trio, today, days_ago, keeper):
    chassis, _, other = trio
    assert states(today)["0458"].state == "good"
    row = record_on_air(OnAirRecord(chassis=chassis, unit=other, on=days_ago(5), plate_ma=99), today=today, by=keeper)
    told = states(today)["0458"]
    assert (told.state, told.setting) == ("reset and verify", "42")
    assert f"on {days_ago(5)}, by its on-air record" in told.reasons[0].text
    assert states(days_ago(6))["0458"].state == "good"
    out = StringIO()
    call_command("pairings", "--json", stdout=out)
    assert {pair["unit"]["serial"]: pair["state"] for pair in json.loads(out.getvalue())}["0458"] == "reset and verify"
    (first, _) = on_air(chassis, 2000, today).units
    assert to_do(first) == "Set the dial to 42, then verify the null."
    strike_out(row, "another set", by=keeper)
    assert states(today)["0458"].state == "good"


def test_back_dated_it_counts_from_its_own_day(trio, today, days_ago, keeper):
    chassis, _, other = trio
    record_on_air(OnAirRecord(chassis=chassis, unit=other, on=days_ago(35), plate_ma=99), today=today, by=keeper)
    assert states(today)["0458"].state == "good"


def test_the_form_asks_where_the_pair_was_not_good(trio, today, days_ago, as_helper):
    chassis, one, other = trio
    page, cells = sent(chassis, other, days_ago(5))
    answer = as_helper.post(page, cells)
    assert answer.status_code == 422 and "This pair was due" in answer.context["form"].errors["readied"][0]
    assert not OnAirRecord.objects.exists()
    page, cells = sent(chassis, one, days_ago(5))
    assert as_helper.post(page, cells).status_code == 302  # good: nothing to ask


def test_neutralized_it_is_recorded_too(trio, today, days_ago, as_helper):
    chassis, _, other = trio
    page, cells = sent(chassis, other, days_ago(5), readied="neutralized", setting="51", at="20:15", by_whom="I. F.")
    done = as_helper.post(page, cells, follow=True).content.decode()
    null = Neutralization.objects.latest("pk")
    assert (null.unit, null.setting, null.on, str(null.at), null.by_whom) == (
        other, "51", days_ago(5), "20:15:00", "I. F.",
    )  # fmt: skip
    assert {serial: row.state for serial, row in states(today).items()} == {"0458": "reset and verify", "0611": "good"}
    assert "The neutralization is recorded with it." in done
    assert "No longer to be trusted with it" in done and "0458 (reset and verify)" in done


@pytest.mark.parametrize(
    ("readied", "says"),
    [
        ("set back", "until its null is verified and recorded"),
        ("not", "neutralize it, and write the dial setting down"),
    ],
)
def test_not_neutralized_it_says_what_follows(readied, says, trio, today, days_ago, as_helper):
    chassis, _, other = trio
    other.neutralizations.update(setting="51" if readied == "set back" else "")
    page, cells = sent(chassis, other, days_ago(5), readied=readied)
    done = as_helper.post(page, cells, follow=True).content.decode()
    assert Neutralization.objects.count() == 2 and says in done and "No longer to be trusted with it" in done
    assert {serial: row.state for serial, row in states(today).items()} == {
        "0458": "reset and verify",
        "0611": "reset and verify" if readied == "set back" else "due",
    }
    assert OnAirRecord.objects.get().readied == readied
    assert (
        dict(OnAirRecord.READIED)[readied]
        in as_helper.get(reverse("pairing:on-air", args=[chassis.tag])).content.decode()
    )


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"setting": "51"}, "readied"),
        ({"readied": "neutralized", "unit": ""}, "unit"),
        ({"readied": "perhaps"}, "readied"),
    ],
)
def test_answers_that_do_not_go_together(more, field, trio, today, as_helper):
    page, cells = sent(trio[0], trio[2], today)
    answer = as_helper.post(page, cells | more)
    assert answer.status_code == 422 and field in answer.context["form"].errors


def test_a_set_without_a_neutralized_position_asks_nothing(today, as_helper):
    chassis = ChassisFactory(model__neutralizing="none")
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
    page, cells = sent(chassis, unit, today)
    assert "before it went on the air" not in as_helper.get(page).content.decode()
    assert as_helper.post(page, cells).status_code == 302


def test_a_refused_neutralization_leaves_no_record_either(trio, today, keeper):
    row = OnAirRecord(chassis=trio[0], on=today, plate_ma=99, readied="neutralized")
    with pytest.raises(ValidationError, match="which unit"):
        record_on_air(row, today=today, by=keeper)
    assert not OnAirRecord.objects.filter(on=today).exists()


def test_the_ledgers_tell_whom_the_dial_was_set_for(trio, today, days_ago, keeper):
    chassis, one, other = trio
    for number in (9, 7, 5):
        OnAirRecord.objects.create(chassis=chassis, unit=other, on=days_ago(number), plate_ma=99)
    lines = pair_in_depth(chassis, one, today).lines
    assert (lines[0].day, lines[0].kind) == (days_ago(9), "set for another")
    assert [line.kind for line in told_of(chassis=chassis, on=today).lines] == [
        "on the air", "neutralized", "neutralized",
    ]  # fmt: skip
    assert "set for another" in [line.kind for line in told_of(unit=one, on=today).lines]
    states_told = [(s.text, s.start) for s in pair_in_depth(chassis, one, today).states]
    assert states_told[-1] == ("reset and verify", days_ago(9))


def test_more_on_air_records_ask_no_more(trio, days_ago, as_visitor):
    chassis, one, other = trio
    pages = [reverse("pairing:pair", args=[chassis.tag, one.tag]), f"/sets/{chassis.tag}/", f"/units/{one.tag}/"]

    counts = []
    for start in (100, 200):
        for number in range(10):
            for unit in (one, other):
                OnAirRecord.objects.create(chassis=chassis, unit=unit, on=days_ago(start + number), plate_ma=99)
        counts.append([asked(as_visitor, page) for page in pages])
    assert counts[0] == counts[1]
