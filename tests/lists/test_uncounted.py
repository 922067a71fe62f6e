"""What lists name and nobody counted stands beside every figure of what is owned (common practice, no source)."""

import io
import json

import pytest
from django.core.management import call_command
from django.urls import reverse

from inventory.frontpage.queries import bench_report, look_up, pocket_answer, saved_copy
from inventory.frontpage.wording.bench import bench_as_json
from inventory.frontpage.wording.look_up import match_as_json
from inventory.holdings.actions import begin_count, change_tube, let_go, tick
from inventory.holdings.models import Item, StockTake, StockTakeLine
from inventory.lists.actions.answers import answer_count, answer_held
from inventory.lists.actions.uncounted import name_uncounted
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRow
from inventory.lists.queries.uncounted import rows_to_count, uncounted_marked, uncounted_of
from inventory.running.actions import record_test
from inventory.running.models import TubeTest
from tests.counting import cost
from tests.lists.importing_lists import take
from tests.running.rows import InstrumentFactory
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

LIST = "Tube,Qty,Box\nVT-231,a few,Bin 7\n807,about 3,Bin 8\nQJ-77,some,Bin 9\n6V6GT,2,Bin 9\n"


@pytest.fixture
def found(keeper):
    return take(LIST, by=keeper)[0]


def test_a_few_is_not_none(found, today):
    """VT-231 = 6SN7GT: U.S. Signal Corps VT list, fixtures/reference/designations.csv."""
    (match,) = look_up("6SN7GT").matches
    (row,) = match.uncounted
    assert (row.type, row.mark, row.words, row.place, row.made) == ("6SN7GT", "VT-231", "a few", "Bin 7", 0)
    assert match.stock.good == match.stock.untested == 0
    assert match_as_json(match)["uncounted"] == [row.as_dict()]
    (guess,) = look_up("807").matches[0].uncounted
    assert guess.made == 3 and "3 of them by a guess (about 3, Bin 8)" in guess.told
    assert "uncounted" not in match_as_json(look_up("6V6GT").matches[0])
    assert pocket_answer("VT-231", today).matches[0].uncounted == (row,)
    assert bench_as_json(bench_report(today))["rows_to_count"] == 3


def test_a_mark_that_settles_no_type_is_found_by_its_letters(found, today):
    (row,) = uncounted_marked("qj-77")
    assert (row.type, row.mark, row.place) == (None, "QJ-77", "Bin 9")
    assert uncounted_marked("QJ") == [] and uncounted_marked("VT-231") == []
    answer = pocket_answer("QJ-77", today)
    assert answer.uncounted == (row,) and not answer.nothing


def test_pages_and_command_say_it(found, as_visitor):
    told = "and a number not counted"
    for address in (reverse("frontpage:look-up") + "?q=6SN7GT", reverse("tubes:type", args=["6SN7GT"])):
        page = as_visitor.get(address).content.decode()
        assert told in page and "None on the shelf" not in page
    assert "And a number not counted" in as_visitor.get(reverse("frontpage:pocket") + "?q=VT-231").content.decode()
    assert told in as_visitor.get(reverse("frontpage:look-up") + "?q=QJ-77").content.decode()
    assert "Rows to count" in as_visitor.get("/").content.decode()
    out = io.StringIO()
    call_command("lookup", "6SN7GT", stdout=out)
    assert f"{told} (a few, Bin 7) by list {found.run.pk}, row 1" in out.getvalue()
    out = io.StringIO()
    call_command("lookup", "6SN7GT", "--json", stdout=out)
    assert json.loads(out.getvalue())["matches"][0]["uncounted"][0]["words"] == "a few"
    out = io.StringIO()
    call_command("lookup", "QJ-77", stdout=out)
    assert "QJ-77" in out.getvalue() and told in out.getvalue()


def test_the_saved_copy_says_it_and_keeps_places_to_itself(found, today):
    with_places, without = (saved_copy(today, with_places=flag) for flag in (True, False))
    row = next(row for row in with_places["types"] if "6SN7GT" in row["names"])
    assert row["uncounted"] == [f"and a number not counted (a few, Bin 7) by list {found.run.pk}, row 1"]
    assert with_places["untold"][0][0] == "QJ-77"
    assert "Bin 7" in json.dumps(with_places) and "Bin" not in json.dumps(without)


def test_what_was_counted_is_said_no_more(found, keeper, today):
    for row in rows_to_count():
        answer_count(row, 2, by=keeper, today=today)
    assert not rows_to_count().exists() and not ImportRow.objects.exclude(uncounted="").exists()
    assert look_up("6SN7GT").matches[0].stock.untested == 2


def test_an_undone_list_says_nothing(found, keeper):
    undo(found.run, by=keeper)
    assert uncounted_of(["6SN7GT"]) == [] and uncounted_marked("QJ-77") == []


def test_a_row_answered_first_and_counted_later(keeper, today):
    """VT-60 has two meanings: the U.S. 850, and by the R.A.F. 807 (see test_look_up)."""
    found, _ = take("Tube,Qty\nVT-60,a few\n", by=keeper)
    assert uncounted_of(["850", "807"]) == []  # held: it is not known what it is
    row = found.run.rows.get()
    key = next(choice["key"] for choice in row.question["choices"] if ": 850" in choice["words"])
    answer_held(row, key, by=keeper, today=today)
    assert [one.words for one in uncounted_of(["850"])] == ["a few"] and uncounted_of(["807"]) == []


def test_as_many_queries_for_ten_as_for_twenty(keeper, today):
    def queries():
        return cost(lambda: (saved_copy(today, with_places=True), look_up("6SN7GT")))

    take("Tube,Qty,Box\n" + "".join(f"VT-231,a few,Bin {at}\n" for at in range(10)), by=keeper)
    first = queries()
    take("Tube,Qty,Note\n" + "".join(f"VT-231,a few,more {at}\n" for at in range(20)), by=keeper)
    assert queries() == first


def test_an_open_draw_hinders_no_undoing(found, keeper, today):
    begin_count(place=None, percent=100, seed=1, on=today, by=keeper)
    assert StockTakeLine.objects.count() == 5
    undo(found.run, by=keeper)
    assert not Item.objects.exists() and not StockTakeLine.objects.exists() and StockTake.objects.count() == 1


def test_a_ticked_draw_does(found, keeper, today):
    drawn = begin_count(place=None, percent=100, seed=1, on=today, by=keeper)
    tick(drawn, [drawn.lines.first().pk], "found", on=today, by=keeper)
    answer = undo(found.run, by=keeper)
    assert len(answer["stays"]) == 1 and "is named by a line of a stock-take" in answer["stays"][0]
    assert Item.objects.count() == 1


def test_rows_of_lists_from_before_are_named_when_the_database_is_brought_up_to_date(found):
    """The column was not there before: after migrating, a row says by its cells what it is of."""
    rows = as_from_before(found)
    assert name_uncounted() == 3
    told = dict(rows.order_by("row").values_list("row", "uncounted"))
    assert told == {1: "6SN7GT", 2: "807", 3: "QJ-77", 4: ""}
    assert [one.place for one in uncounted_of(["6SN7GT"])] == ["Bin 7"]


def as_from_before(found):
    rows = found.run.rows
    for row in rows.exclude(uncounted=""):
        row.question = {key: row.question[key] for key in ("about", "to_count", "made", "answers")}
        row.uncounted = ""
        row.save()
    return rows


def test_a_guess_tells_only_what_is_here_and_still_of_the_type(found, keeper, today):
    guess = found.run.rows.get(row=2)
    first, second, third = Item.objects.filter(import_made__row=guess).order_by("pk")
    let_go(first, "sold", on=today, by=keeper)
    second.tube.type = TubeType.objects.get(name="6V6GT")
    change_tube(second.tube, by=keeper)
    (told,) = uncounted_of(["807"])
    assert told.made == 1 and "1 of them by a guess" in told.told
    let_go(third, "sold", on=today, by=keeper)
    assert uncounted_of(["807"]) == [] and guess in rows_to_count()


def test_only_a_keeper_lets_tubes_leave_by_a_count(found, as_helper, as_keeper):
    address = reverse("lists:list-count", args=[found.run.pk, 2])
    page = as_helper.post(address, {"count": "2"}, follow=True).content.decode()
    assert "a keeper lets tubes leave" in page and Item.objects.filter(gone_on=None).count() == 5
    as_keeper.post(address, {"count": "2"})
    assert Item.objects.filter(gone_on=None).count() == 4


def test_a_tube_that_was_tested_or_changed_is_never_said_to_have_been_none(found, keeper, today):
    guess = found.run.rows.get(row=2)
    first, second, third = Item.objects.filter(import_made__row=guess).order_by("pk")
    record_test(TubeTest(tube=third.tube, instrument=InstrumentFactory(), on=today, reading_text="1900"),
                today=today, by=keeper)  # fmt: skip
    second.tube.note = "loose base"
    change_tube(second.tube, by=keeper)
    assert answer_count(guess, 2, by=keeper, today=today) == ([], [first.tag])
