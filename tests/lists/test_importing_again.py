"""Lists that come again: grown, saved by another program, taken out of this one. What is here is never made twice.

What spreadsheet programs change when they save a list: common practice, no source.
"""

import io

import openpyxl
import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.models import Item, Tube
from inventory.lists.actions.answers import answer_alike, answer_held
from inventory.lists.actions.trial import keep_upload, try_out, write_run
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRow
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, WRITTEN
from inventory.lists.rules.same_rows import fold_cell, row_digest
from tests import factories as make
from tests.counting import cost_once
from tests.lists.importing_lists import take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
HEADING = "Tube,Qty,Box,Paid,Bought,Serial\n"
ROWS = "6SN7GT,3,Bin 1,$5 ea,12.06.09,\n807,2,Bin 2,.50,,\n6V6GT,1,Bin 3,,,01432\n"
LIST = HEADING + ROWS


def outcomes(rows):
    return [row["outcome"] for row in rows]


def as_sheet(text, change=lambda cell: cell):
    made = openpyxl.Workbook()
    for line in text.splitlines():
        made.active.append([change(cell) for cell in line.split(",")])
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def as_figures(cell):
    """A cell as a spreadsheet holds it once it was opened and saved there."""
    try:
        return float(cell)
    except ValueError:
        return cell or None


# --- rows alike ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "saved"),
    [("3", "3.0"), (".50", "0.5"), ("$5.00", "5"), ("01432", "1432"), ("12.06.09", "2009-06-12"), ("92 %", "0.92"),
     ("4-May-06", "2006-05-04"), ("6SN7GT ", "6sn7gt"), ("'=A7", "=A7"), ("2,50", "2.5"), ("x\u00a0y", "x y")],
)  # fmt: skip
def test_what_a_program_changes_is_the_same_cell(typed, saved):
    assert fold_cell(typed) == fold_cell(saved)


@pytest.mark.parametrize(("one", "other"), [("6SN7GT", "6SL7GT"), ("3", "4"), ("3", ""), ("0", ""), ("12", "1.2")])
def test_what_differs_stays_apart(one, other):
    assert fold_cell(one) != fold_cell(other)


@given(st.lists(st.tuples(st.sampled_from("abcdef"), st.text(max_size=12)), max_size=6, unique_by=lambda c: c[0]))
def test_the_order_of_columns_says_nothing(cells):
    names, texts = [name for name, _ in cells], [text for _, text in cells]
    assert row_digest(names, texts) == row_digest(names[::-1], texts[::-1])
    assert row_digest(names, texts) == row_digest([*names, "more"], [*texts, " "])
    assert len(row_digest(names, texts)) in (0, 32)


# --- a list that grew ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "again",
    [
        LIST + "5U4G,4,Bin 1,,,\n",
        (LIST + "5U4G,4,Bin 1,,,\n").replace("\n", "\r\n"),
        (LIST + "5U4G,4,Bin 1,,,\n").encode("utf-16"),
        (LIST + "5U4G,4,Bin 1,,,\n").replace(",", ";"),
        as_sheet(LIST + "5U4G,4,Bin 1,,,\n"),
        as_sheet(LIST + "5U4G,4,Bin 1,,,\n", as_figures),
    ],
    ids=["grown", "line ends", "encoding", "semicolons", "sheet", "sheet of figures"],
)
def test_only_the_new_rows_are_written(again, keeper):
    first, _ = take(LIST, by=keeper)
    here = Item.objects.count()
    trial, tried = take(again, by=keeper, trial=True, name="list.csv")
    found, rows = take(again, by=keeper, name="list.csv")
    assert outcomes(rows) == outcomes(tried) == [HELD, HELD, HELD, WRITTEN]
    assert trial.counts() == found.counts() and Item.objects.count() == here + 4
    said = rows[1]["remarks"][-1]
    assert said["reason"] == f"already here from list {first.run.pk}, row 2"
    assert said["action"] == "choose on the page of the list" and "807" in said["found"]


def test_columns_in_another_order_and_a_new_empty_one(keeper):
    take("Tube,Qty,Box\n6SN7GT,3,Bin 1\n", by=keeper)
    _, (row,) = take("Box,Tube,QTY,Remarks\nBin 1,6sn7gt,3,\n", by=keeper)
    assert row["outcome"] == HELD
    _, (other,) = take("Box,Tube,Qty\nBin 2,6SN7GT,3\n", by=keeper)
    assert other["outcome"] != HELD


def test_equal_rows_are_counted(keeper, today):
    """Three equal rows of which two are here: two are held and the third is new; then all three are here."""
    first, rows = take("Tube,Box\n807,Bin 1\n807,Bin 1\n", by=keeper)
    assert outcomes(rows)[1] == HELD and answer_alike(first.run, "more", by=keeper, today=today) == (1, 1)
    found, rows = take("Tube,Box\n807,Bin 1\n807,Bin 1\n807,Bin 1\n", by=keeper)
    asked = [row.question["about"] for row in found.run.rows.order_by("row")]
    assert outcomes(rows) == [HELD, HELD, HELD] and asked == ["already", "already", "repeat"]
    assert len(answer_held(found.run.rows.get(row=3), "more", by=keeper, today=today)) == 1
    assert answer_alike(found.run, "leave out", by=keeper, today=today) == (2, 0)
    _, rows = take("Tube,Box\n807,Bin 1\n807,Bin 1\n807,Bin 1\n5U4G,\n", by=keeper)
    assert outcomes(rows) == [HELD, HELD, HELD, WRITTEN]
    assert Tube.objects.filter(marked="807").count() == 3


def test_held_rows_are_not_counted_as_being_here(keeper):
    take("Tube\n807\n", by=keeper)
    take("Tube\n807\n5U4G\n", by=keeper)
    found, _ = take("Tube\n807\n807\n", by=keeper)
    assert [row.question["about"] for row in found.run.rows.order_by("row")] == ["already", "repeat"]


def test_what_was_undone_is_not_here(keeper):
    found, _ = take(LIST, by=keeper)
    undo(found.run, by=keeper)
    _, rows = take(LIST + "5U4G,1,,,,\n", by=keeper)
    assert HELD not in outcomes(rows)


def test_refused_rows_and_no_items_are_what_they_were(keeper):
    text = "Tube,Qty\n2.00E+26,1\nTotal,3\n807,0\n"
    assert outcomes(take(text, by=keeper)[1]) == [REFUSED, NOT_AN_ITEM, NOT_AN_ITEM]
    assert outcomes(take(text + "\n", by=keeper)[1])[:3] == [REFUSED, NOT_AN_ITEM, NOT_AN_ITEM]


def test_more_of_the_same(keeper, today, refused):
    take(LIST, by=keeper)
    found, rows = take(LIST + "5U4G,1,,,,\n", by=keeper)
    with refused("answer", "Choose"):
        answer_alike(found.run, "perhaps", by=keeper, today=today)
    rows, made = answer_alike(found.run, "more", by=keeper, today=today)
    found.run.refresh_from_db()
    # 3 + 2 at once; the serial on the third is there already, and is asked about by itself
    assert (rows, made, found.run.counts["held"]) == (3, 5, 1)
    assert found.run.counts["records"]["tubes"] == 6
    third = found.run.rows.get(outcome=HELD)
    assert third.question["about"] == "twin" and third.question["answers"] == {"already": "more"}
    with refused("answer", "No row of the list waits"):
        answer_alike(found.run, "leave out", by=keeper, today=today)
    assert len(answer_held(third, "another", by=keeper, today=today)) == 1
    assert not ImportRow.objects.filter(run=found.run, digest="").exists()
    undo(found.run, by=keeper)
    assert Tube.objects.count() == 6


def test_left_out_rows_name_their_like(keeper, today):
    first, _ = take(LIST, by=keeper)
    found, _ = take(LIST + "5U4G,1,,,,\n", by=keeper)
    answer_alike(found.run, "leave out", by=keeper, today=today)
    row = found.run.rows.get(row=1)
    assert (row.outcome, row.question, row.digest) == (NOT_AN_ITEM, {}, "")
    assert row.remarks[-1] | {"found": ""} == {
        "column": "row", "found": "", "reason": f"already here from list {first.run.pk}, row 1",
        "action": "left out by the keeper",
    }  # fmt: skip
    found.run.refresh_from_db()
    assert (found.run.counts["held"], found.run.counts["not_items"], found.run.counts["written"]) == (0, 3, 1)


def test_one_alone_is_answered_as_any_held_row(keeper, today):
    take(LIST, by=keeper)
    found, _ = take(LIST + "5U4G,1,,,,\n", by=keeper)
    first, second, _ = found.run.rows.filter(outcome=HELD).order_by("row")
    assert answer_held(first, "leave out", by=keeper, today=today) == []
    assert len(answer_held(second, "more", by=keeper, today=today)) == 2


def test_a_tag_of_the_register_is_no_second_thing(keeper, today):
    tube = make.TubeFactory(marked="807")
    found, rows = take(f"Tag,Tube,State\n{tube.tag},807,good\n{tube.tag.lower()},807,weak\n,807,\n", by=keeper)
    assert outcomes(rows) == [HELD, HELD, WRITTEN]
    assert f"tag of tube {tube.tag}" in rows[0]["remarks"][-1]["reason"]
    (tag,) = answer_held(found.run.rows.get(row=1), "another", by=keeper, today=today)
    assert tag != tube.tag


def test_tags_of_the_register_are_left_out_with_the_rest(as_keeper, keeper, today, refused):
    first = make.TubeFactory(marked="807")
    take("Tag,Tube\n,807\n", by=keeper)
    text = f"Tag,Tube\n,807\n{first.tag},6V6GT\nT-9999,5U4G\n"
    run = keep_upload(io.BytesIO(text.encode()), name="shelf.csv", by=keeper)
    page = reverse("lists:list-in", args=[run.pk])
    try_out(run, today=today)
    assert "One row bears, as a number, the tag of a thing" in as_keeper.get(page).content.decode()
    write_run(run, by=keeper, today=today)
    assert "Write them as more" in as_keeper.get(page).content.decode()
    assert answer_alike(run, "more", by=keeper, today=today) == (1, 1)
    shown = as_keeper.get(page).content.decode()
    assert "Leave them out" in shown and "Write them as more" not in shown
    with refused("answer", "No row of the list waits"):
        answer_alike(run, "more", by=keeper, today=today)
    assert answer_alike(run, "leave out", by=keeper, today=today) == (1, 0)
    left = run.rows.get(row=2)
    assert (left.outcome, left.remarks[-1]["action"]) == (NOT_AN_ITEM, "left out by the keeper")
    assert f"the tag of tube {first.tag}" in left.remarks[-1]["reason"]
    run.refresh_from_db()
    assert (run.counts["held"], run.counts["not_items"], run.counts["written"]) == (0, 1, 2)


def test_twice_the_tags_are_looked_for_at_once(keeper, today):
    def more(rows, first):
        lines = "".join(f"T-{number},,807,good\n" for number in range(first, first + rows))
        text = f"Tag,Type,Marked,State\n{lines}"
        take(text, by=keeper)
        for item in Item.objects.all():  # the labels were changed since, so the rows are alike and their tags are not
            Item.objects.filter(pk=item.pk).update(tag=f"Z{item.tag}")
        found, _ = take(text + "\n", by=keeper)
        done = []
        sent = cost_once(lambda: done.append(answer_alike(found.run, "more", by=keeper, today=today)))
        assert done == [(rows, rows)]
        return sent

    more(1, 1000)
    assert more(10, 2000) == more(20, 3000)


def test_looking_for_rows_alike_does_not_grow(keeper):
    def asked(name):
        return cost_once(lambda: take(f"Tube,Box\n{name}", by=keeper, trial=True))

    ten, twenty = "".join(f"807,Bin {n}\n" for n in range(10)), "".join(f"807,Bin {n}\n" for n in range(20))
    take(f"Tube,Box\n{twenty}", by=keeper)
    asked(ten + "\n")
    assert asked(ten) == asked(twenty + "\n")


# --- the pages -------------------------------------------------------------------------------------------------------


def grown(keeper, today):
    take(LIST, by=keeper)
    run = keep_upload(io.BytesIO((LIST + "5U4G,1,,,,\n").encode()), name="shelf.csv", by=keeper)
    return try_out(run, today=today)


def test_the_trial_tells_and_the_page_answers_for_all(as_keeper, keeper, today):
    run = grown(keeper, today)
    page = reverse("lists:list-in", args=[run.pk])
    text = as_keeper.get(page).content.decode()
    assert "3 rows say the same" in text and "wait for one answer" in text
    assert reverse("lists:list-alike", args=[run.pk]) not in text
    write_run(run, by=keeper, today=today)
    assert "Leave them out" in as_keeper.get(page, {"show": "held"}).content.decode()
    answer = as_keeper.post(reverse("lists:list-alike", args=[run.pk]), {"answer": "leave out"}, follow=True)
    assert answer.redirect_chain[-1][0] == page  # nothing waits: on to the whole report
    assert "3 rows answered: left out, nothing written." in answer.content.decode()


def test_the_last_answer_leads_to_the_report(as_keeper, keeper):
    found, _ = take("Tube,Qty\nVT-60,1\nVT-60,2\n", by=keeper)
    page = reverse("lists:list-in", args=[found.run.pk])
    for row, wanted in ((1, f"{page}?show=held"), (2, page)):
        asked = reverse("lists:list-answer", args=[found.run.pk, row])
        assert as_keeper.post(asked, {"answer": "leave out"}).url == wanted


def test_a_visitor_answers_nothing(as_visitor, keeper, today):
    run = grown(keeper, today)
    write_run(run, by=keeper, today=today)
    answer = as_visitor.post(reverse("lists:list-alike", args=[run.pk]), {"answer": "more"})
    assert answer.status_code == 403 and run.rows.filter(outcome=HELD).count() == 3


def test_one_is_written_as_one(as_keeper, keeper):
    found, _ = take("Model,Serial,Kind\nSkerry coil drawer A,7,unit\n", by=keeper)
    text = as_keeper.get(reverse("lists:list-in", args=[found.run.pk])).content.decode()
    assert "1 plug-in unit" in text and "1 plug-in units" not in text


def test_an_undone_list_waits_for_nothing(keeper, today):
    run = grown(keeper, today)
    with pytest.raises(ValidationError, match="not written"):
        answer_alike(run, "more", by=keeper, today=today)
