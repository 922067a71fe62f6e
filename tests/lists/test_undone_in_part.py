"""Undoing a list takes out what is untouched and names the rest; its rows can come in again. Places are invented."""

import pytest
from django.core.exceptions import ValidationError

from inventory.holdings.actions import move
from inventory.holdings.models import Item, Place, Tube
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from tests import factories as make
from tests.lists.importing_lists import take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]

LIST = "Tube,Qty,Box\n807,2,Bin 1\n6V6GT,1,Bin 2\n6SN7GT,3,Bin 2\n"


def touch(tag, keeper, today):
    move([Item.objects.get(tag=tag)], make.PlaceFactory(), on=today, by=keeper)


def test_what_is_untouched_goes_and_the_rest_is_named(keeper, today):
    found, rows = take(LIST, by=keeper)
    kept = rows[0]["made"][1]
    touch(kept, keeper, today)
    answer = undo(found.run, by=keeper)
    assert answer["undone"]["tube"] == 5 and [words.split()[0] for words in answer["stays"]] == [kept]
    assert "was moved" in answer["stays"][0]
    assert list(Item.objects.values_list("tag", flat=True)) == [kept] and Tube.objects.count() == 1
    run = ImportRun.objects.get(pk=found.run.pk)
    assert run.state == ImportRun.WRITTEN and kept in run.counts["notes"][-1]
    assert not Place.objects.filter(path="Bin 2").exists()


def test_rows_that_left_come_in_again_and_the_one_that_stayed_is_asked_about(keeper, today):
    found, rows = take(LIST, by=keeper)
    touch(rows[1]["made"][0], keeper, today)
    undo(found.run, by=keeper)
    _, again = take(LIST, by=keeper)
    assert [row["outcome"] == "held" for row in again] == [False, True, False]
    assert Tube.objects.count() == 6


def test_nothing_is_undone_where_everything_was_touched(keeper, today):
    found, rows = take("Tube,Qty\n807,1\n", by=keeper)
    touch(rows[0]["made"][0], keeper, today)
    with pytest.raises(ValidationError, match="cannot be undone any more"):
        undo(found.run, by=keeper)
    assert Item.objects.count() == 1


def test_an_untouched_list_is_undone_as_a_whole(keeper):
    found, _ = take(LIST, by=keeper)
    answer = undo(found.run, by=keeper)
    assert "stays" not in answer and not Item.objects.exists()
    assert ImportRun.objects.get().state == ImportRun.UNDONE
