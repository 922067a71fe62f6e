"""Which thing a row of a list that comes back is of, which columns went out with it, what moves together."""

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.urls import reverse

from inventory.holdings.actions import lend
from inventory.holdings.models import Item, Tube
from inventory.lists.actions import changes
from inventory.lists.actions.answers import answer_held
from inventory.lists.rules.stamps import STAMP
from inventory.running.models import MatchedSet, MatchedTube
from tests import factories as make
from tests.lists.test_coming_back import as_file, brought_back, cells_told, edit, shelf, taken_out, upload  # noqa: F401
from tests.pages import page_text
from tests.running.rows import TubeTestFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def cleared(rows, heading, *tags):
    """The rows with a column cleared, in all of them or in those of some things."""
    at = rows[0].index(heading)
    return [rows[0], *([*row[:at], "", *row[at + 1 :]] if not tags or row[0] in tags else row for row in rows[1:])]


def without(rows, heading):
    at = rows[0].index(heading)
    return [[*row[:at], *row[at + 1 :]] for row in rows]


def test_a_row_of_which_the_tag_was_cleared_is_of_its_thing(shelf, as_keeper):  # noqa: F811
    rows = cleared(edit(taken_out(as_keeper), shelf[0], Maker="Acme"), "Tag", shelf[0])
    found = brought_back(rows)
    assert cells_told(found.changed) == [(shelf[0], "Maker", "", "Acme")]
    assert (found.new, found.untouched, Tube.objects.count()) == (0, 2, 3)
    (told,) = found.read_only
    assert (told.tag, told.column, told.new) == (shelf[0], "Tag", "") and "clear what stands under" in told.reason


@pytest.mark.parametrize("column", [cleared, without])
def test_a_column_of_tags_that_was_cleared_or_taken_out_makes_nothing_new(shelf, as_keeper, column):  # noqa: F811
    rows = column(edit(taken_out(as_keeper), shelf[1], State="dud"), "Tag")
    found = brought_back(rows)
    assert cells_told(found.changed) == [(shelf[1], "State", "weak", "dud")]
    assert (found.new, Tube.objects.count()) == (0, 3) and not found.held


def test_of_two_rows_of_one_thing_without_a_tag_the_second_is_held(shelf, as_keeper):  # noqa: F811
    rows = cleared(taken_out(as_keeper), "Tag", shelf[0])
    found = brought_back([*rows, rows[1]])
    assert found.new == 0 and [one.reason.split(";")[0] for one in found.held] == [f"{shelf[0]} stands on row 2 too"]


def test_a_row_without_its_stamp_among_others_with_theirs_is_held(shelf, as_keeper):  # noqa: F811
    rows = cleared(edit(taken_out(as_keeper), shelf[0], Maker="Acme"), STAMP, shelf[0])
    typed = ["" for _ in rows[0]]
    typed[rows[0].index("Marked")] = "6V6GT"
    found = brought_back([*rows, typed])
    assert not found.changed and found.new == 1  # a row without either is new
    assert [(one.tag, one.column) for one in found.held] == [(shelf[0], "row")]
    assert "is empty while other rows have theirs" in found.held[0].reason


def test_a_column_that_was_added_is_no_conflict(shelf, as_keeper):  # noqa: F811
    rows = taken_out(as_keeper, columns="state")
    assert rows[0] == ["Tag", "State", STAMP]
    Tube.objects.filter(item__tag=shelf[2]).update(maker="Brown")
    makers = {shelf[0]: "Acme", shelf[1]: "", shelf[2]: "Acme"}
    rows = [["Tag", "State", "Maker", STAMP], *([tag, state, makers[tag], stamp] for tag, state, stamp in rows[1:])]
    found = brought_back(edit(rows, shelf[1], State="dud"))
    assert cells_told(found.changed) == [(shelf[0], "Maker", "", "Acme"), (shelf[1], "State", "weak", "dud")]
    assert cells_told(found.conflicts) == [(shelf[2], "Maker", "Brown", "Acme")]
    assert "did not go out with this list" in found.conflicts[0].reason


def test_a_column_that_went_out_and_changed_here_in_every_row_is_a_conflict(shelf, as_keeper):  # noqa: F811
    rows = taken_out(as_keeper, columns="state,maker")
    Tube.objects.update(maker="Brown")
    edited = edit(edit(edit(rows, shelf[0], Maker="A"), shelf[1], Maker="B"), shelf[2], Maker="")
    found = brought_back(edited)
    assert not found.changed and {one.reason for one in found.conflicts} == {changes._MEANWHILE}
    assert len(found.conflicts) == 3


def matched(*tags):
    tests = [TubeTestFactory(tube=Tube.objects.get(item__tag=tag)) for tag in tags]
    row = MatchedSet.objects.create(
        instrument=tests[0].instrument, made_on=make.days_ago(1), mismatch_pct=1, tolerance_pct=10
    )
    for one in tests:
        MatchedTube.objects.create(matched_set=row, tube=one.tube, test=one)


@pytest.mark.parametrize("at_once", [1, 500])
def test_what_belongs_together_moves_together_though_another_thing_stays(
    shelf, as_keeper, keeper, today, monkeypatch, at_once  # noqa: F811
):  # fmt: skip
    monkeypatch.setattr(changes, "AT_ONCE", at_once)
    matched(shelf[0], shelf[2])
    lend(Item.objects.get(tag=shelf[1]), "the club", on=today, by=keeper)
    rows = taken_out(as_keeper)
    for tag in shelf:
        rows = edit(rows, tag, Place="Hall / Bin 4")
    found = brought_back(edit(rows, shelf[0], Maker="Acme"))
    told = [(one.tag, one.column, one.new) for one in found.changed]
    assert told == [
        (shelf[0], "Maker", "Acme"),
        (shelf[0], "Place", "Hall / Bin 4"),
        (shelf[2], "Place", "Hall / Bin 4"),
    ]
    assert [(one.tag, one.column) for one in found.held] == [(shelf[1], "Place")] and "lent" in found.held[0].reason


def test_what_belongs_together_is_not_parted_from_a_list(shelf, as_keeper):  # noqa: F811
    matched(shelf[0], shelf[2])
    rows = edit(edit(taken_out(as_keeper), shelf[0], Place="Hall / Bin 4"), shelf[1], Place="Hall / Bin 4")
    found = brought_back(rows)
    assert [(one.tag, one.column) for one in found.changed] == [(shelf[1], "Place")]
    assert [one.tag for one in found.held] == [shelf[0]] and shelf[2] in found.held[0].reason
    assert [one.tag for one in brought_back(rows, why="lent out in part").changed] == [shelf[0]]


def test_why_is_told_in_a_line(shelf, as_keeper, tmp_path):  # noqa: F811
    rows = edit(taken_out(as_keeper), shelf[0], State="dud")
    with pytest.raises(ValidationError, match="up to 60 letters"):
        brought_back(rows, why="x" * 61)
    file = tmp_path / "tubes.csv"
    file.write_bytes(as_file(rows).getvalue())
    with pytest.raises(CommandError) as refusal:
        call_command("update_list", str(file), "--why", "x" * 61)
    assert refusal.value.returncode == 2 and Tube.objects.get(item__tag=shelf[0]).state == "good"


def test_a_new_row_that_is_asked_about_counts_as_held_and_keeps_its_type(shelf, as_keeper, keeper, today):  # noqa: F811
    rows = taken_out(as_keeper)
    new = ["" for _ in rows[0]]
    new[rows[0].index("Marked")] = "VT-231"
    assert brought_back([*rows, new]).new == 1
    page = page_text(as_keeper.get(upload(as_keeper, [*rows, new]).url))
    assert "Write the changes" in page  # written, it waits for its answer
    found = brought_back([*rows, new])
    assert (found.new, len(found.held)) == (0, 1) and found.run.counts["new"] == 0
    assert "0 rows new" not in as_keeper.get(reverse("lists:list-in", args=[found.run.pk])).content.decode()
    (tag,) = answer_held(found.run.rows.get(outcome="held"), "more", by=keeper, today=today)
    assert Tube.objects.get(item__tag=tag).type.name == "6SN7GT"
