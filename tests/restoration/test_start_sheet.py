"""The start sheet as page and PDF, results typed into it, and what of it stands on the plan. Sets are invented."""

import re
import shutil
import subprocess
from datetime import time

import pytest
from django.core.exceptions import ValidationError
from reportlab.pdfbase.pdfmetrics import stringWidth

from inventory.holdings.models import HazardMark
from inventory.house.pdf_pages import cut, fonts
from inventory.restoration.actions import record_finding
from inventory.restoration.forms.findings import field_key
from inventory.restoration.models import Finding, Requirement, WeakPart
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.start_sheet import start_sheet
from inventory.restoration.rules.words import DONE, SETTLE_BEFORE_POWER
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text, seen_at
from tests.restoration.rows import PlanFactory

pytestmark = pytest.mark.django_db
needs_pdftotext = pytest.mark.skipif(not shutil.which("pdftotext"), reason="pdftotext (poppler-utils) is not here")


@pytest.fixture
def plan():
    model = SetModelFactory(name="Marram RX", neutralizing="none", kind="receiver", caution="About 300 V inside.")
    for mark, kind, volts in (("V1", "6K7", 6.3), ("V2", "80", 5.0)):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=kind), heater_v=volts)
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model, serial="0417")])


def address_of(plan):
    return f"{plan.get_absolute_url()}start/{plan.sets.get().tag}/"


def checks_of(plan, today):
    return {row.check.key: row for row in start_sheet(plan, plan.sets.get(), today).rows}


def typed(client, plan, today, **cells):
    """Results typed into the page; ``cells``: (reading, judged, words) by check, with _ for a blank."""
    sent = {"on": today, "at": "", "by_whom": "E. Dunmore"}
    for check, (reading, judged, words) in cells.items():
        key = field_key(check.replace("__", " ").replace("_", "-"))
        sent |= {f"{key}-reading_text": reading, f"{key}-all_well": judged, f"{key}-result": words}
    return client.post(f"{address_of(plan)}found/", sent, follow=True)


def test_warnings_stand_on_top_and_the_set_says_what_is_asked(as_visitor, plan):
    text = page_text(as_visitor.get(address_of(plan)))
    assert text.index("About 300 V inside.") < text.index("Local codes") < text.index("Before touching")
    assert text.index("Before touching") < text.index("Order of work") < text.index("First power")
    assert "Rectifier V2 out" in text and "Dummy load" not in text
    assert "common practice, no source" in text and "DOE-HDBK-1092" in text
    assert "Type in results" not in text  # a visitor looks


def test_hazards_come_from_the_set_its_model_and_its_tubes(plan, today):
    chassis = plan.sets.get()
    chassis.model.caution = "Radium on the dial. Selenium rectifier in the bias supply."
    chassis.model.save()
    HazardMark.objects.create(item=chassis.item, hazard="selenium", standing="none found", on=today)
    HazardMark.objects.create(item=chassis.item, hazard="asbestos", standing="proposed", reason="cord", on=today)
    glass = TubeFactory(type=TubeTypeFactory(name="6K7"))
    HazardMark.objects.create(item=glass.item, hazard="implosion", standing="confirmed", on=today)
    FittingFactory(tube=glass, chassis=chassis, position=chassis.model.positions.get(mark="V1"))
    found = checks_of(plan, today)
    assert found["hazard radium"].check.because == "named in the caution of Marram RX"
    assert found["hazard asbestos"].check.because == "proposed, not checked, cord"
    assert found["hazard implosion"].check.because == "tube in V1"
    assert "hazard selenium" not in found and "selenium" not in found
    assert "never lift by the neck" in found["hazard implosion"].check.how


def test_results_are_findings_and_a_second_typing_is_a_later_one(as_helper, plan, today, days_ago):
    told = page_text(typed(as_helper, plan, days_ago(1), mains_filaments=("250 mA", "False", "lamp bright")))
    assert "1 written down." in told and "to settle before power" in told
    (row,) = Finding.objects.all()
    assert (row.reading_text, row.reading, row.unit, row.all_well) == ("250 mA", 0.25, "A", False)
    assert row.asked == "Mains current, filaments alone" and row.by_whom == "E. Dunmore"
    assert row.history.get().history_user.get_username() == "a-helper"
    cover = cover_of(plan, today)
    line = next(line for line in cover.lines if line.status == SETTLE_BEFORE_POWER)
    assert line.need == "Mains current, filaments alone" and "250 mA, lamp bright" in line.reasons[0]
    assert "1 to be done before power" in cover.count.text and not cover.count.can_start
    text = page_text(as_helper.get(plan.get_absolute_url()))
    assert "Settle before power" in text and "Check again" in text
    told = page_text(typed(as_helper, plan, today, mains_filaments=("150 mA", "True", "")))
    assert "as it should be" in told and "250 mA, lamp bright" in told  # the earlier one stays readable
    assert Finding.objects.count() == 2
    assert SETTLE_BEFORE_POWER not in {line.status for line in cover_of(plan, today).lines}


def test_a_failed_check_is_told_by_what_failed_whatever_was_said_since(as_helper, plan, today, days_ago):
    typed(as_helper, plan, days_ago(2), earth=("12 ohm", "False", "broken lead"))
    typed(as_helper, plan, days_ago(1), earth=("", "", "lead ordered"))
    line = next(line for line in cover_of(plan, today).lines if line.status == SETTLE_BEFORE_POWER)
    assert line.reasons[0].startswith(f"Found on {days_ago(2)}: 12 ohm, ")
    assert line.reasons[0].endswith("broken lead, not as it should be.")
    assert line.reasons[1] == f"On {days_ago(1)}, without a judgement: lead ordered."
    assert line.finding.result == "broken lead"


def test_nothing_is_written_where_one_blank_is_refused(as_helper, plan, today):
    answer = typed(
        as_helper,
        plan,
        today,
        mains_filaments=("250 V", "", ""),
        earth=("0.1 ohm", "True", ""),
        plates=("", "True", ""),
    )
    text = page_text(answer)
    assert answer.status_code == 422 and "250 V" in text and "expected a figure with its unit, such as 3.6 A" in text
    assert re.search(r'href="#id_c\w+-reading_text">[0-9]+\. Mains current, filaments alone</a>', text)
    assert 'value="0.1 ohm"' in text and not Finding.objects.exists()
    assert "Nothing was typed in" in page_text(typed(as_helper, plan, today))


def test_a_blank_of_a_check_that_is_gone_is_told_not_lost(as_helper, plan, today):
    PositionFactory(set_model=plan.sets.get().model, mark="V3", type=TubeTypeFactory(name="0D3"))
    assert "regulator" in checks_of(plan, today)
    plan.sets.get().model.positions.get(mark="V3").delete()
    answer = typed(as_helper, plan, today, regulator=("149 V", "", ""))
    assert answer.status_code == 422 and "is not on it now (149 V)" in page_text(answer)


def test_a_failed_check_outlives_the_check(as_helper, plan, today):
    position = PositionFactory(set_model=plan.sets.get().model, mark="V3", type=TubeTypeFactory(name="0D3"))
    typed(as_helper, plan, today, regulator=("", "False", "dark"))
    position.delete()
    text = page_text(as_helper.get(address_of(plan)))
    assert "Asked no more" in text and "dark" in text
    assert SETTLE_BEFORE_POWER in {line.status for line in cover_of(plan, today).lines}
    assert "1 written down." in page_text(typed(as_helper, plan, today, regulator=("", "True", "taken out for good")))
    assert SETTLE_BEFORE_POWER not in {line.status for line in cover_of(plan, today).lines}


def test_a_weak_part_and_a_line_are_settled_by_their_checks(as_helper, plan, today):
    model = plan.sets.get().model
    part = WeakPart.objects.create(set_model=model, mark="C12", words="filter", why="leaks", source="bench book")
    Requirement.objects.create(plan=plan, kind="work", words="new cord", before_power=True)
    typed(as_helper, plan, today, part__C12__filter=("", "True", "changed"), line__new__cord=("", "False", "too short"))
    by_need = {line.need: line for line in cover_of(plan, today).lines}
    assert by_need[str(part)].status == DONE and "changed" in by_need[str(part)].reasons[0]
    assert by_need["new cord"].status == SETTLE_BEFORE_POWER


def test_a_finding_is_corrected_and_struck_out_by_a_keeper(as_keeper, as_helper, plan, today):
    typed(as_helper, plan, today, b_plus=("25 V", "False", ""))
    row = Finding.objects.get()
    address = f"/findings/{row.pk}/"
    sent = {"reading_text": "250 V", "all_well": "true", "on": today, "reason": "misread"}
    assert as_helper.get(address).status_code == 403
    as_keeper.post(address, sent | seen_at(as_keeper, address), follow=True)
    row.refresh_from_db()
    assert (row.reading, row.all_well) == (250.0, True)
    as_keeper.post(f"{address}strike/", {"why": "of another set"} | seen_at(as_keeper, f"{address}strike/"))
    text = page_text(as_keeper.get(address_of(plan)))
    assert "Struck out" in text and "of another set" in text
    assert checks_of(plan, today)["b-plus"].standing is None


def test_findings_say_what_they_are_of(plan, today, days_ago, keeper):
    finding = {"plan": plan, "chassis": plan.sets.get(), "step": "b-plus", "on": today}
    with pytest.raises(ValidationError, match="Say what was found"):
        record_finding(Finding(**finding), today=today, by=keeper)
    with pytest.raises(ValidationError, match="is no set of"):
        record_finding(Finding(**finding | {"chassis": ChassisFactory()}, result="x"), today=today, by=keeper)
    with pytest.raises(ValidationError, match="No number is asked here"):
        record_finding(Finding(**finding, reading_text="6 V"), today=today, by=keeper)
    saved = record_finding(Finding(**finding, result="dark", at=time(0, 1)), today=today, by=keeper)
    assert str(saved) == "b-plus: dark"


def test_a_set_of_another_plan_has_no_sheet_here(as_visitor, plan):
    other = PlanFactory()
    assert as_visitor.get(f"{plan.get_absolute_url()}start/{other.sets.get().tag}/").status_code == 404


def pdf_text(body, tmp_path):
    file = tmp_path / "sheet.pdf"
    file.write_bytes(body)
    told = subprocess.run(["pdftotext", "-raw", file, "-"], capture_output=True, check=True).stdout.decode()
    return told.count("\f"), " ".join(told.split())


@needs_pdftotext
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_on_paper(as_helper, plan, today, tmp_path, paper):
    typed(as_helper, plan, today, b_plus=("255 V", "True", ""))
    answer = as_helper.get(f"{address_of(plan)}paper/", {"paper": paper})
    assert answer["Content-Type"] == "application/pdf"
    pages, text = pdf_text(answer.content, tmp_path)
    assert pages <= 4
    assert text.index("About 300 V inside.") < text.index("Before touching") < text.index("First power")
    assert "Rectifier V2 out" in text and "255 V, as it should be" in text and "Second person" in text
    assert "common practice, no source" in text and "page 2" in text


@needs_pdftotext
def test_long_words_break_over_lines_and_pages(as_helper, plan, tmp_path):
    model = plan.sets.get().model
    words = [f"never{number}" for number in range(1200)]
    model.caution = " ".join(words) + "x" * 300
    model.save()
    for number in range(40):
        WeakPart.objects.create(set_model=model, mark=f"C{number}", words="<b>wax & paper" * 8, why="leaks " * 30)
    pages, text = pdf_text(as_helper.get(f"{address_of(plan)}paper/").content, tmp_path)
    assert pages > 4 and {*words[:-1]} <= {*text.split()}
    assert all(f"C{number} <b>wax" in text for number in range(40))


def test_a_long_name_in_the_foot_leaves_the_number_of_the_page_its_room():
    assert cut("short", 100) == "short"
    words = cut("a long name " * 40, 100)
    assert words.endswith("…") and stringWidth(words, fonts()[0], 8) <= 100


def test_more_positions_and_findings_take_no_more_questions(plan, today):
    chassis = plan.sets.get()

    def grow(start):
        for number in range(start, start + 10):
            kind = TubeTypeFactory(name="6K7")
            place = PositionFactory(set_model=chassis.model, mark=f"V{number}", type=kind, heater_v=6.3)
            FittingFactory(chassis=chassis, position=place, tube=TubeFactory(type=kind))
            WeakPart.objects.create(set_model=chassis.model, words=f"part {number}")
            Finding.objects.create(plan=plan, chassis=chassis, step=f"part part {number}", result="x", on=today)

    grow(10)
    before = cost(lambda: start_sheet(plan, chassis, today))
    grow(30)
    assert cost(lambda: start_sheet(plan, chassis, today)) == before


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
