"""Pages that were read before somebody else, or a second press, changed what they show."""

import io

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.holdings.models import Item, Place, Tube
from inventory.lists.actions.answers import answer_held
from inventory.lists.actions.read import Options
from inventory.lists.actions.trial import drop_trial, keep_upload, set_columns, try_out, write_run
from inventory.lists.models import ImportMapping, ImportRun
from inventory.sets.models import Chassis
from tests import factories as make
from tests.lists.importing_lists import press_write, reading, take
from tests.lists.test_importing_pages import columns_of
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def run(keeper, today):
    """A list tried out with the column Where as a place."""
    run = keep_upload(io.BytesIO(b"Tube,Qty,Where\n807,3,Cellar\n"), name="shelf.csv", by=keeper)
    set_columns(run, {"Tube": "mark", "Qty": "quantity", "Where": "place"}, Options())
    return try_out(run, today=today)


def test_columns_that_are_refused_change_nothing_that_was_tried_out(as_helper, run):
    ImportMapping.objects.create(name="taken", columns={"a": "mark"})
    asked = columns_of(run, Where="note") | {"keep_as": "taken"}
    answer = as_helper.post(reverse("lists:list-columns", args=[run.pk]), asked)
    assert answer.status_code == 422 and "There is a mapping taken already" in answer.content.decode()
    press_write(as_helper, run)
    assert set(Place.objects.values_list("path", flat=True)) == {"Cellar"}
    assert set(Tube.objects.values_list("item__place__path", "note")) == {("Cellar", "")}


def test_columns_that_were_not_tried_out_are_not_written(as_keeper, run, monkeypatch):
    """The trial run is cut off after the columns were saved."""
    set_columns(run, {"Tube": "mark", "Qty": "quantity", "Where": "note"}, Options())
    page = page_text(as_keeper.get(reverse("lists:list-in", args=[run.pk])))
    assert "Not tried yet" in page and "Write it into the register" not in page
    answer = as_keeper.post(reverse("lists:list-write", args=[run.pk]), follow=True)
    assert "Try the list out first" in page_text(answer) and not Item.objects.exists()


def test_a_list_is_written_by_the_columns_that_the_page_showed(as_keeper, as_helper, run):
    seen = reading(as_keeper, run)
    as_helper.post(reverse("lists:list-columns", args=[run.pk]), columns_of(run, Where="note"))
    answer = as_keeper.post(reverse("lists:list-write", args=[run.pk]), {"reading": seen}, follow=True)
    assert "Its columns were changed since" in page_text(answer) and not Item.objects.exists()
    press_write(as_keeper, run)
    assert set(Tube.objects.values_list("note", flat=True)) == {"Cellar"}


@pytest.mark.parametrize("sent", [{}, {"reading": ""}])
def test_a_form_that_does_not_tell_what_it_showed_writes_nothing(as_keeper, run, sent):
    answer = as_keeper.post(reverse("lists:list-write", args=[run.pk]), sent, follow=True)
    assert "Which trial run was looked at is not told" in page_text(answer) and not Item.objects.exists()
    press_write(as_keeper, run)
    assert Item.objects.exists()


def test_options_count_too(as_keeper, run):
    seen = reading(as_keeper, run)
    as_keeper.post(reverse("lists:list-columns", args=[run.pk]), columns_of(run) | {"dollar": "USD"})
    assert reading(as_keeper, run) != seen


def test_a_list_read_by_other_columns_is_neither_tried_out_nor_written(keeper, today, run):
    stale = ImportRun.objects.get()
    stale.columns = {**run.columns, "Where": "note"}
    for change in (lambda: try_out(stale, today=today), lambda: write_run(stale, by=keeper, today=today)):
        with pytest.raises(ValidationError, match="columns were changed meanwhile"):
            change()
    assert not Item.objects.exists() and ImportRun.objects.get().counts["tried"]


def test_a_list_that_was_forgotten_says_so(keeper, today, run):
    stale = ImportRun.objects.get()
    drop_trial(run)
    for change in (
        lambda: try_out(stale, today=today), lambda: write_run(stale, by=keeper, today=today),
        lambda: drop_trial(stale), lambda: set_columns(stale, stale.columns, Options()),
    ):  # fmt: skip
        with pytest.raises(ValidationError, match="forgotten meanwhile"):
            change()


def test_a_second_press_answers_no_question_that_nobody_read(as_keeper, keeper):
    """A row whose number is a tag of the register, and its serial that of a chassis there: two questions, one key."""
    there = make.ChassisFactory(model=make.SetModelFactory(name="Skerry 40"), serial="1877")
    found, (row,) = take(f"No,Set,Serial,Kind\n{there.item.tag},Skerry 40,1877,chassis\n", by=keeper)
    held = found.run.rows.get()
    assert row["outcome"] == "held" and held.question["about"] == "tag"
    page, asked = (reverse(f"lists:list-{name}", args=args) for name, args in (
        ("in", [found.run.pk]), ("answer", [found.run.pk, 1])
    ))  # fmt: skip
    assert '<input type="hidden" name="about" value="tag">' in as_keeper.get(page).content.decode()
    press = {"answer": "another", "about": "tag"}
    assert "another question" in page_text(as_keeper.post(asked, press, follow=True))
    told = page_text(as_keeper.post(asked, press, follow=True))
    assert "Row 1 asks something else by now: Skerry 40 1877 is in the register" in told
    assert Chassis.objects.count() == 1
    as_keeper.post(asked, {"answer": "another"})  # which question it answers is not told
    assert Chassis.objects.count() == 1
    as_keeper.post(asked, {"answer": "another", "about": "twin"})
    assert Chassis.objects.filter(serial="1877").count() == 2


def test_a_question_is_named_where_rows_are_answered(keeper, today):
    found, _ = take("Tube,Qty\nVT-60,1\n", by=keeper)
    held = found.run.rows.get()
    with pytest.raises(ValidationError, match="asks something else by now"):
        answer_held(held, "as marked", by=keeper, today=today, about="twin")
    assert len(answer_held(held, "as marked", by=keeper, today=today, about="mark")) == 1
