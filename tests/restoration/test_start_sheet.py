"""The start sheet as page and PDF, results typed into it, and what of it stands on the plan. Sets are invented."""

import re
from datetime import time

import pytest
from django.core.exceptions import ValidationError
from reportlab.pdfbase.pdfmetrics import stringWidth

from inventory.holdings.actions.facts import add_facts
from inventory.holdings.models import HazardMark
from inventory.house.pdf_pages import cut, fonts
from inventory.restoration.actions import record_finding
from inventory.restoration.models import Finding, Requirement, WeakPart
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.lines import line_check, part_check
from inventory.restoration.queries.start_sheet import start_sheet
from inventory.restoration.rules.words import DONE, SETTLE_BEFORE_POWER, TO_JUDGE
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text, seen_at
from tests.restoration.rows import PlanFactory
from tests.restoration.sheets import address_of, checks_of, needs_pdftotext, pdf_text, planned_receiver, typed
from tubes.models import TubeType

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    return planned_receiver()


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


@pytest.mark.usefixtures("reference")
def test_hazards_by_rule_are_told_as_on_the_label(plan, today, keeper):
    """L9.6: 40 kg are too heavy for one; TR tubes: carlwillis.wordpress.com/tag/radioactive."""
    chassis = plan.sets.get()
    add_facts(chassis.item, "weight", "40 kg", by=keeper, today=today)
    PositionFactory(set_model=chassis.model, mark="V9", type=TubeType.objects.get(name="1B24"), plate_v=600)
    WeakPart.objects.create(set_model=chassis.model, mark="C9", words="oil capacitor")
    found = checks_of(plan, today)
    assert found["hazard weight"].check.because.startswith("by rule, not checked: it weighs 40 kg")
    assert found["hazard radioactive"].check.because == "tube in V9"
    assert "may hold PCB" in found["hazard PCB oil"].check.because
    cautions = " ".join(cover_of(plan, today).cautions)
    assert "weight (by rule, not checked)" in cautions and "PCB oil (by rule" in cautions
    HazardMark.objects.create(item=chassis.item, hazard="PCB oil", standing="none found", reason="marked", on=today)
    assert "hazard PCB oil" not in checks_of(plan, today) and "PCB" not in " ".join(cover_of(plan, today).cautions)


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
    line = Requirement.objects.create(plan=plan, kind="work", words="new cord", before_power=True)
    said = {part_check(part): ("", "True", "changed"), line_check(line): ("", "False", "too short")}
    typed(as_helper, plan, today, **said)
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
            weak = WeakPart.objects.create(set_model=chassis.model, words=f"part {number}")
            Finding.objects.create(plan=plan, chassis=chassis, step=f"part {weak}", weak=weak, result="x", on=today)

    grow(10)
    before = cost(lambda: start_sheet(plan, chassis, today))
    grow(30)
    assert cost(lambda: start_sheet(plan, chassis, today)) == before


def test_what_was_found_last_and_not_judged_is_told_as_that(as_keeper, keeper, plan, today, days_ago):
    """Whether it is as it should be is the keeper's word: an earlier one is not put before a later reading."""
    chassis = plan.sets.get()

    def found(on, **cells):
        record_finding(Finding(plan=plan, chassis=chassis, step="cord", on=on, **cells), today=today, by=keeper)

    found(days_ago(2), result="sound", all_well=True)
    before = cover_of(plan, today).count
    found(today, result="cracked, wire bare")
    cover = cover_of(plan, today)
    (line,) = (line for line in cover.lines if line.status == TO_JUDGE)
    assert "cracked, wire bare" in line.reasons[0] and "sound" in line.reasons[1]
    assert (cover.count.lines, cover.count.covered, cover.count.to_judge) == (before.lines, before.covered, 1)
    assert "1 found at a check and not judged" in cover.count.text
    assert re.search(r"not judged</span>\s*<strong>cracked, wire bare", page_text(as_keeper.get(address_of(plan))))
    found(today, result="bare", all_well=False)
    assert not any(line.status == TO_JUDGE for line in cover_of(plan, today).lines)
