"""What the start sheet says of the supplies and of other types, and readings outside a limit. Sets are invented."""

import pytest

from inventory.restoration.forms.findings import field_key
from inventory.restoration.models import Finding
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.start_sheet import start_sheet
from inventory.restoration.rules.words import TO_JUDGE
from tests.factories import PositionFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text, seen_at
from tests.restoration.sheets import address_of, checks_of, needs_pdftotext, pdf_text, planned_receiver, typed

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    return planned_receiver()


def overloaded(plan):
    """The plan's receiver with its 6K7 on a winding that is rated for less, and a rectifier of another type at hand."""
    model = plan.sets.get().model
    model.filament_supply_v, model.filament_winding_a = 6.3, 0.2
    model.save()
    model.positions.filter(mark="V2").update(type=TubeTypeFactory(name="5U4G"), output_ma=100, plate_v=300)
    TubeFactory(type=TubeTypeFactory(name="5Y3GT"), item__tag="T-7001")
    return plan


def test_an_overloaded_winding_stands_on_top_and_beside_the_checks_that_load_it(as_visitor, plan, today):
    """0.3 A, the 6K7 by the tables, is 150 % of 0.2 A."""
    text = page_text(as_visitor.get(address_of(overloaded(plan))))
    told = "the heater winding would be overloaded. 1 heater on 6.3 V draws 0.3 A (1.89 W); that is 150 % of the 0.2 A"
    assert text.index(told) < text.index("What is there")
    cautious = {key for key, row in checks_of(plan, today).items() if told in row.check.caution}
    assert cautious == {"filaments", "mains-filaments", "heater-volts 6.3 V"}
    assert text.count(told) == 1 + 3
    report = page_text(as_visitor.get(f"{plan.get_absolute_url()}report/"))
    assert told in report and "5Y3GT for 5U4G" in report


def test_a_planned_substitute_is_named_with_what_it_entails(as_visitor, plan, today):
    sheet = start_sheet(overloaded(plan), plan.sets.get(), today)
    (socket,) = (one for one in sheet.sockets if one.row.position.mark == "V2")
    assert socket.planned.startswith("5Y3GT in the place of 5U4G: T-7001") and socket.entails
    assert [rail.mark for rail in sheet.supply.rails] == ["V2"]
    text = page_text(as_visitor.get(address_of(plan)))
    assert text.count("5Y3GT in the place of 5U4G") == 2  # what is there, and the order of work
    assert socket.entails[0] in text and "V2: 5Y3GT for 5U4G" in text


@needs_pdftotext
def test_both_stand_on_paper(as_visitor, plan, tmp_path):
    _, text = pdf_text(as_visitor.get(f"{address_of(overloaded(plan))}paper/").content, tmp_path)
    assert text.index("would be overloaded") < text.index("Before touching") and text.count("would be overloaded") == 4
    assert "5Y3GT in the place of 5U4G: T-7001" in text and "V2: 5Y3GT for 5U4G" in text


# --- the limit that the sheet prints ----------------------------------------------------------------------------------


def test_a_bare_figure_is_in_the_unit_of_the_label(as_helper, plan, today):
    assert "1 written down." in page_text(typed(as_helper, plan, today, mains_filaments=("0.25", "True", "")))
    row = Finding.objects.get()
    assert (row.reading_text, row.reading, row.unit) == ("0.25 A", 0.25, "A")


@pytest.mark.parametrize(
    ("check", "reading", "limit"),
    [
        ("earth", "50 kohm", "below 1 ohm"),
        ("insulation", "20 kohm", "above 1 Mohm"),
        ("discharged", "-300", "below 1 V"),
    ],
)
def test_outside_the_limit_nothing_passes_without_a_tick(as_helper, plan, today, check, reading, limit):
    """A hot chassis: 20 kohm from the mains side, or no path to earth. The limits are those that the sheet prints."""
    answer = typed(as_helper, plan, today, **{check: (reading, "True", "")})
    text = page_text(answer)
    assert answer.status_code == 422 and f"lies outside the limit of the sheet ({limit})" in text
    assert "read so, though outside the limit" in text and not Finding.objects.exists()
    key = field_key(check)
    sent = {f"{key}-reading_text": reading, f"{key}-all_well": "True", f"{key}-outside": "on", "on": today}
    text = page_text(as_helper.post(f"{address_of(plan)}found/", sent, follow=True))
    row = Finding.objects.get()
    assert row.all_well is True and row.outside == limit and f"outside the limit ({limit})" in text


def test_what_is_said_to_be_wrong_or_lies_within_asks_for_no_tick(as_helper, plan, today):
    told = typed(as_helper, plan, today, insulation=("20 kohm", "False", ""), earth=("0.4", "True", ""))
    assert "2 written down." in page_text(told)
    assert [(row.step, row.outside) for row in Finding.objects.order_by("step")] == [
        ("earth", ""), ("insulation", "above 1 Mohm"),
    ]  # fmt: skip
    assert (
        "20 kohm, outside the limit (above 1 Mohm), not as it should be" in cover_of(plan, today).lines[-1].reasons[0]
    )


def test_a_reading_within_the_limit_is_as_it_should_be_by_the_limit(as_helper, plan, today):
    plan.sets.get().model.positions.filter(mark="V1").update(plate_v=250)
    typed(as_helper, plan, today, insulation=("8 Mohm", "", ""), earth=("0.4 ohm", "", "loose"))
    typed(as_helper, plan, today, b_plus=("900 V", "", ""))  # above what is recorded, and far too much
    row = Finding.objects.get(step="insulation")
    assert row.all_well is None and row.words == "8 Mohm, within the limit of the sheet (above 1 Mohm), as it should be"
    cover = cover_of(plan, today)
    judged = {line.check for line in cover.lines if line.status == TO_JUDGE}
    assert judged == {"earth", "b-plus"} and cover.count.to_judge == 2
    text = page_text(as_helper.get(address_of(plan)))
    assert text.count("within the limit of the sheet") == 1


def test_heaters_far_from_their_rating_ask_for_a_tick_too(as_helper, plan, today):
    """10 % either way with care for an oxide emitter: the row of limits.csv and its text."""
    assert checks_of(plan, today)["heater-volts 6.3 V"].check.expected == "6.3 V, 5.67 to 6.93 V"
    key = field_key("heater-volts 6.3 V")
    sent = {f"{key}-reading_text": "12.6", f"{key}-all_well": "True", "on": today}
    assert as_helper.post(f"{address_of(plan)}found/", sent).status_code == 422
    assert as_helper.post(f"{address_of(plan)}found/", sent | {f"{key}-reading_text": "6.5"}).status_code == 302


def test_a_correction_is_held_to_the_same_limit(as_keeper, as_helper, plan, today):
    typed(as_helper, plan, today, insulation=("5 Mohm", "True", ""))
    row = Finding.objects.get()
    address = f"/findings/{row.pk}/"
    sent = {"reading_text": "5 kohm", "all_well": "true", "on": today, "reason": "misread"}
    answer = as_keeper.post(address, sent | seen_at(as_keeper, address))
    assert answer.status_code == 422 and "lies outside the limit" in page_text(answer)
    as_keeper.post(address, sent | {"outside": "on"} | seen_at(as_keeper, address), follow=True)
    row.refresh_from_db()
    assert row.outside == "above 1 Mohm"


@needs_pdftotext
def test_what_another_type_entails_is_said_once_for_all_its_positions(as_visitor, plan, today, tmp_path):
    """5Y3GT for 5U4G, twice in one set: the same words hold for both positions."""
    overloaded(plan)
    model = plan.sets.get().model
    PositionFactory(
        set_model=model, mark="V3", type=TubeTypeFactory(name="5U4G"), heater_v=5.0, output_ma=100, plate_v=300
    )
    TubeFactory(type=TubeTypeFactory(name="5Y3GT"), item__tag="T-7002")
    _, text = pdf_text(as_visitor.get(f"{address_of(plan)}paper/").content, tmp_path)
    sheet = start_sheet(plan, plan.sets.get(), today)
    (words,) = {socket.entails[0] for socket in sheet.sockets if socket.entails}
    assert f"V2, V3: {words.split('.')[0]}"[:40] in text and f"V2: {words}"[:30] not in text
    page = page_text(as_visitor.get(address_of(plan)))
    assert words not in page.partition("Order of work")[2]
