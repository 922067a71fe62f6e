"""Words on the weak parts of a set model in plans, on the start sheet, on pages, in lists. All names are invented."""

import pytest
from django.urls import reverse

from inventory.lists.queries.out import LISTS
from inventory.restoration.models import WeakPart, WeakSaid
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.left_open import left_open
from inventory.restoration.queries.start_sheet import start_sheet
from inventory.restoration.rules.weak import ALWAYS, CHECK, LEAVE
from tests.counting import cost
from tests.factories import SetModelFactory
from tests.pages import page_text
from tests.restoration.rows import PartTypeFactory

pytestmark = pytest.mark.django_db


def weak(model, *verdicts, words="filter", **more):
    part = WeakPart.objects.create(set_model=model, mark="C12", words=words, type=PartTypeFactory(), **more)
    for number, verdict in enumerate(verdicts):
        WeakSaid.objects.create(weak=part, verdict=verdict, source=f"source {number}", page=f"leaf {number}")
    return part


def line_of(plan, today, words="filter"):
    (line,) = (line for line in cover_of(plan, today).lines if words in line.need)
    return line


def test_one_that_always_fails_asks_for_its_part(plan, model, today):
    weak(model, ALWAYS)
    line = line_of(plan, today)
    assert line.status == "short" and "Always fails, says source 0, leaf 0." in line.reasons


@pytest.mark.parametrize("verdicts", [(CHECK,), (ALWAYS, LEAVE), (CHECK, LEAVE)])
def test_one_to_be_checked_is_work_before_power_and_asks_for_no_part(plan, model, today, verdicts):
    weak(model, *verdicts)
    line = line_of(plan, today)
    assert (line.status, line.before_power, line.need[:6]) == ("to do", True, "check ")
    assert any("differ" in reason for reason in line.reasons) is (len(verdicts) > 1)
    assert sum("says source" in reason for reason in line.reasons) == len(verdicts)


def test_one_that_is_to_be_left_alone_is_a_caution_and_no_work(plan, model, today, as_visitor):
    before = cover_of(plan, today).count
    weak(model, LEAVE, why="the can is sealed")
    cover = cover_of(plan, today)
    line = line_of(plan, today)
    assert (line.status, line.before_power, cover.count) == ("leave alone", False, before)
    assert "filter" not in left_open(cover)
    (chassis,) = plan.sets.all()
    sheet = start_sheet(plan, chassis, today)
    assert any("C12 filter: leave alone. The can is sealed." in text for text in sheet.cautions)
    assert not any("filter" in row.check.words for row in sheet.rows if row.check.because.startswith("known"))
    assert not any("filter" in one.need for one in sheet.to_do)
    page = page_text(as_visitor.get(plan.get_absolute_url()))
    assert "better not touched" in page and "Leave alone, says source 0" in page


def test_words_that_differ_stand_on_the_start_sheet(plan, model, today):
    weak(model, ALWAYS, LEAVE, source="own experience")
    (chassis,) = plan.sets.all()
    (row,) = (row for row in start_sheet(plan, chassis, today).rows if "C12 filter" in row.check.words)
    assert row.check.because.startswith("Words on it differ") and "source 0; source 1" in row.check.source


def test_a_word_that_was_struck_out_counts_no_more(plan, model, today):
    part = weak(model, ALWAYS, LEAVE)
    part.said.filter(verdict=LEAVE).update(struck="of another model")
    assert line_of(plan, today).status == "short"


def test_the_page_of_the_model_tells_that_they_differ(model, as_visitor, as_keeper):
    part = weak(model, ALWAYS, LEAVE)
    weak(model, words="coupling")
    page = page_text(as_visitor.get(model.get_absolute_url()))
    assert "words differ" in page and "None is chosen" in page and "Leave alone, says source 1, leaf 1." in page
    assert "plans take it as one that fails" in page and "Add a word on it" not in page
    assert f"/weak-parts/{part.pk}/word/" in page_text(as_keeper.get(model.get_absolute_url()))


def test_the_list_has_a_row_for_each_word_and_for_parts_without_one(model):
    weak(model, ALWAYS, LEAVE)
    weak(model, words="coupling")
    rows = list(LISTS["weak-parts"].all_rows())
    assert [(row[2], row[6]) for row in rows] == [("filter", ALWAYS), ("filter", LEAVE), ("coupling", None)]


def test_twice_the_words_take_no_more_questions(plan, model, today):
    (chassis,) = plan.sets.all()

    def some():
        for number in range(4):
            weak(model, ALWAYS, LEAVE, words=f"part {number}")
            weak(model, ALWAYS, words=f"part {number}")

    def asked():
        cover_of(plan, today)
        start_sheet(plan, chassis, today)

    some()
    before = cost(asked)
    some()
    assert cost(asked) == before


def test_a_weak_part_and_the_first_word_on_it_are_one_form(as_helper, days_ago):
    model = SetModelFactory()
    address = reverse("restoration:weak-add", args=[model.pk])
    sent = {"mark": "C12", "words": "paper capacitor", "quantity": "3", "why": "leaks", "verdict": "always fails"}
    wrong = as_helper.post(address, sent)
    assert wrong.status_code == 422 and "A word wants its source" in page_text(wrong)
    assert not WeakPart.objects.exists()
    late = as_helper.post(address, sent | {"source": "bench book", "on": days_ago(-2).isoformat()})
    assert late.status_code == 422 and not WeakPart.objects.exists()
    as_helper.post(address, sent | {"source": "bench book", "page": "leaf 4", "says": "five of five"})
    (said,) = WeakSaid.objects.select_related("weak")
    assert (said.verdict, said.source, said.page, said.words) == (
        "always fails",
        "bench book",
        "leaf 4",
        "five of five",
    )
    assert (said.weak.mark, said.weak.quantity, said.weak.why, said.weak.source) == ("C12", 3, "leaks", "")
    none = as_helper.post(address, {"words": "screen resistor", "quantity": "1", "page": "leaf 9"})
    assert none.status_code == 422 and "none is given" in page_text(none)
