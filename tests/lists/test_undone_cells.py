"""A list that came back is taken back: cell by cell, as far as nobody said otherwise since. Places are invented."""

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import change_tube, lend, let_go, move
from inventory.holdings.models import Item, Place, Tube
from inventory.lists.actions.answers import answer_held
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from inventory.lists.queries import since
from inventory.running.actions.testing import set_state
from tests import factories as make
from tests.lists.importing_lists import take
from tests.lists.test_coming_back import brought_back, edit, shelf, taken_out  # noqa: F401
from tests.running.rows import TubeTestFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def with_new(rows, marked="6V6GT"):
    new = [""] * len(rows[0])
    new[rows[0].index("Marked")] = marked
    return [*rows, new]


def tube_of(tag):
    return Tube.objects.select_related("item").get(item__tag=tag)


def test_the_cells_are_taken_back_though_the_new_thing_was_touched(shelf, as_keeper, keeper, today):  # noqa: F811
    run = brought_back(with_new(edit(taken_out(as_keeper), shelf[0], State="dud", Maker="Acme")), by=keeper).run
    new = Tube.objects.get(marked="6V6GT")
    move([new.item], make.PlaceFactory(), on=today, by=keeper)
    answer = undo(run, by=keeper)
    assert (answer["cells"], answer["undone"]["tube"]) == (2, 0)
    assert answer["stays"] == [f"{new.tag} was changed, was moved"]
    assert (tube_of(shelf[0]).state, tube_of(shelf[0]).maker) == ("good", "")
    run.refresh_from_db()
    assert run.state == ImportRun.WRITTEN and new.tag in run.counts["told"][-1]
    with pytest.raises(ValidationError, match="cannot be undone any more"):  # what is done is done; the thing stays
        undo(run, by=keeper)


def test_a_list_is_open_while_a_cell_of_it_stands(shelf, as_keeper, keeper):  # noqa: F811
    first = brought_back(edit(taken_out(as_keeper), shelf[0], Maker="Acme"), by=keeper).run
    second = brought_back(edit(taken_out(as_keeper), shelf[0], Maker="Brown"), by=keeper).run
    with pytest.raises(ValidationError, match=f"{shelf[0]}: maker changed since"):
        undo(first, by=keeper)
    first.refresh_from_db()
    assert first.state == ImportRun.WRITTEN and tube_of(shelf[0]).maker == "Brown"
    assert undo(second, by=keeper)["cells"] == 1 and tube_of(shelf[0]).maker == "Acme"
    assert undo(first, by=keeper)["stays"] == [] and tube_of(shelf[0]).maker == ""
    first.refresh_from_db()
    assert first.state == ImportRun.UNDONE


def test_what_was_taken_back_already_does_not_stay(shelf, as_keeper, keeper):  # noqa: F811
    rows = edit(edit(taken_out(as_keeper), shelf[0], Maker="Acme"), shelf[1], Note="loose base", Place="Hall / Bin 4")
    run = brought_back(rows, by=keeper).run
    later = brought_back(edit(taken_out(as_keeper), shelf[0], Maker="Brown"), by=keeper).run
    answer = undo(run, by=keeper)
    assert (answer["cells"], answer["stays"]) == (2, [f"{shelf[0]}: maker changed since"])
    run.refresh_from_db()
    assert run.state == ImportRun.WRITTEN and run.counts["told"][-1].startswith("Undone on")
    page = as_keeper.get(reverse("lists:list-in", args=[run.pk])).content.decode()
    assert f"{shelf[0]}: maker changed since" in page and "Undo it" in page
    undo(later, by=keeper)
    answer = undo(run, by=keeper)
    assert (answer["cells"], answer["stays"]) == (1, []) and tube_of(shelf[0]).maker == ""
    run.refresh_from_db()
    assert run.state == ImportRun.UNDONE and not any(one.startswith("Undone on") for one in run.counts["told"])


def _gone(tube, keeper, today):
    let_go(tube.item, "sold", on=today, by=keeper)


def _lent(tube, keeper, today):
    lend(tube.item, "the club", on=today, by=keeper)


def _fitted(tube, keeper, today):
    make.FittingFactory(tube=tube, position__type=tube.type)


@pytest.mark.parametrize(
    ("what", "told"), [(_gone, "it left the collection"), (_lent, "it is lent to the club"), (_fitted, "it is in")]
)
def test_what_went_away_since_stays_as_it_is(shelf, as_keeper, keeper, today, what, told):  # noqa: F811
    rows = edit(edit(taken_out(as_keeper), shelf[0], Maker="Acme"), shelf[1], Maker="Brown")
    run = brought_back(rows, by=keeper).run
    what(tube_of(shelf[0]), keeper, today)
    answer = undo(run, by=keeper)
    assert answer["cells"] == 1 and answer["stays"][0].startswith(f"{shelf[0]}: {told}")
    assert (tube_of(shelf[0]).maker, tube_of(shelf[1]).maker) == ("Acme", "")


@pytest.mark.parametrize("what", [_lent, _fitted])
def test_what_was_away_already_is_as_before(shelf, as_keeper, keeper, today, what):  # noqa: F811
    what(tube_of(shelf[0]), keeper, today)
    run = brought_back(edit(taken_out(as_keeper), shelf[0], Maker="Acme"), by=keeper).run
    assert undo(run, by=keeper)["stays"] == [] and tube_of(shelf[0]).maker == ""


def _confirmed(tube, keeper):
    set_state(tube, "dud", by=keeper, reason="after a test")


def _tested(tube, keeper):
    TubeTestFactory(tube=tube)


def _back_and_forth(tube, keeper):
    for state in ("weak", "dud"):
        tube.state = state
        change_tube(tube, by=keeper)


@pytest.mark.parametrize("what", [_confirmed, _tested, _back_and_forth])
def test_a_state_that_was_confirmed_since_stays(shelf, as_keeper, keeper, what):  # noqa: F811
    run = brought_back(edit(taken_out(as_keeper), shelf[0], State="dud", Note="no glow"), by=keeper).run
    what(tube_of(shelf[0]), keeper)
    answer = undo(run, by=keeper)
    assert answer["stays"] == [f"{shelf[0]}: state changed since"] and answer["cells"] == 1
    assert (tube_of(shelf[0]).state, tube_of(shelf[0]).note) == ("dud", "=1+1")


def test_many_that_stay_are_told_in_short(keeper, today):
    found, rows = take("Tube,Qty\n807,30\n6V6GT,1\n", by=keeper)
    move(Item.objects.filter(tag__in=rows[0]["made"]), make.PlaceFactory(), on=today, by=keeper)
    answer = undo(found.run, by=keeper)
    assert len(answer["stays"]) == 21 and answer["stays"][-1] == "and 10 more" and answer["undone"]["tube"] == 1


def test_rows_that_waited_wait_no_more_once_the_list_is_undone(keeper, today):
    text = "Tube,Qty,Box\n807,2,Bin 1\n6SN7,1,Bin 1\n6V6GT,1,Bin 2\n"
    found, rows = take(text, by=keeper)
    held = found.run.rows.get(row=2)
    assert held.outcome == "held" and held.digest
    move([Item.objects.get(tag=rows[0]["made"][0])], make.PlaceFactory(), on=today, by=keeper)
    undo(found.run, by=keeper)
    with pytest.raises(ValidationError, match="waits for no answer"):
        answer_held(held, "as marked", by=keeper, today=today)
    run = ImportRun.objects.get(pk=found.run.pk)
    assert (run.counts["held"], run.counts["not_items"]) == (0, 1)
    _, again = take(text, by=keeper)
    asked = [remark["reason"] for remark in again[1]["remarks"]]
    assert again[1]["outcome"] == "held" and not any("already here" in words for words in asked)


def test_more_things_cost_no_more_questions_whether_they_went_away(keeper, today):
    from tests.counting import cost

    def some(count):
        tubes = [make.TubeFactory() for _ in range(count)]
        for tube in tubes:
            _lent(tube, keeper, today)
        return [tube.item for tube in tubes], {tube.pk: timezone.now() for tube in tubes}

    few, many = some(2), some(6)
    assert cost(lambda: since.away_since(*many)) == cost(lambda: since.away_since(*few))


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PostgreSQL: SQLite lets one change in")
@pytest.mark.parametrize("back", [False, True])
def test_what_is_touched_while_a_list_is_undone_stays(keeper, today, as_keeper, back):
    """The one who moves was first: the undo waits for him, then looks."""
    from tests.same_moment import at_once

    if back:
        tag = make.TubeFactory(marked="QX-99", type=None).tag
        run = brought_back(edit(taken_out(as_keeper), tag, Place=make.PlaceFactory(code="Attic").path), by=keeper).run
    else:
        found, rows = take("Tube,Qty\n807,1\n", by=keeper)
        run, tag = found.run, rows[0]["made"][0]
    cellar = make.PlaceFactory(code="Cellar")
    one, other = at_once(
        lambda: move([Item.objects.get(tag=tag)], cellar, on=today, by=keeper), lambda: undo(run, by=keeper)
    )
    assert one is None and "cannot be undone any more" in other
    assert Item.objects.get(tag=tag).place == cellar and Place.objects.filter(code="Cellar").exists()
    assert ImportRun.objects.get(pk=run.pk).state == ImportRun.WRITTEN
