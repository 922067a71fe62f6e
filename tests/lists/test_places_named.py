"""Places as a list names them: ditto marks, spellings of one place, words that are none. Common practice, no source."""

import pytest

from inventory.holdings.models import Item, Place
from inventory.lists.actions.answers import answer_held
from inventory.lists.actions.places import loose
from tests import factories as make
from tests.lists.importing_lists import take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def where(rows):
    told = {item.tag: item.place.path if item.place else "" for item in Item.objects.select_related("place")}
    return [told[row["made"][0]] if row["made"] else None for row in rows]


@pytest.mark.parametrize("mark", ["ditto", '"', '-"-', "''", "„", "dto.", "idem", "то же"])
def test_ditto_marks_mean_the_place_above(mark, keeper):
    mark = mark.replace('"', '""')
    _, rows = take(f'Tube,Box\n807,Box 4\n6V6GT,"{mark}"\n6SN7GT,"{mark}"\n1625,\n6L6G,"{mark}"\n', by=keeper)
    assert where(rows) == ["Box 4", "Box 4", "Box 4", "", ""]
    assert any(one["reason"] == "as above: Box 4 taken" for one in rows[1]["remarks"])


def test_a_held_row_keeps_the_place_above(keeper, today):
    found, rows = take("Tube,Box\n807,Box 4\n6SN7,ditto\n", by=keeper)
    assert rows[1]["outcome"] == "held" and rows[1]["understood"]["place"] == "Box 4"
    (tag,) = answer_held(found.run.rows.get(row=2), "type:6SN7GT", by=keeper, today=today)
    assert Item.objects.get(tag=tag).place.path == "Box 4"


@pytest.mark.parametrize("text", ["box4", "BOX-4", "box  4", "Box no. 4", "Box #4", "BOX_4"])
def test_spellings_of_one_place(text, keeper):
    make.PlaceFactory(code="Box 4", path="Box 4")
    _, rows = take(f"Tube,Box\n807,{text}\n6V6GT,Box 40\n6SN7GT,B4\n", by=keeper)
    assert where(rows) == ["Box 4", "Box 40", "B4"] and Place.objects.count() == 3
    told = any("taken as Box 4" in one["reason"] for one in rows[0]["remarks"])
    assert told != (text.casefold().split() == ["box", "4"])  # spaces and capitals alone are not worth a word


def test_of_two_places_that_are_spelled_so_none_is_taken(keeper):
    make.PlaceFactory(code="Box-4", path="Box-4")
    make.PlaceFactory(code="Box 4", path="Box 4")
    _, rows = take("Tube,Box\n807,box4\n6V6GT,box 4\n", by=keeper)
    assert where(rows) == ["box4", "Box 4"]


def test_what_is_held_apart():
    assert loose("Box 4") == loose("box4") == loose("BOX-4") == loose("Box no. 4") == "box4"
    assert len({loose(text) for text in ("1-2", "12", "A 1", "B1", "Box 4A", "Box 4 A")}) == 6


@pytest.mark.parametrize("text", ["sold", "im Gerät", "in set", "verkauft", "dans le poste"])
def test_words_that_are_no_places_make_none(text, keeper):
    _, (row,) = take(f"Tube,Box\n807,{text}\n", by=keeper)
    assert row["outcome"] == "held" and not Place.objects.exists()
    assert "is no place" in row["remarks"][0]["reason"]


@pytest.mark.parametrize("cell", ["Regal 1, Fach 4", "Полка 1, ящик 2"])
def test_a_place_and_what_lies_in_it_stands_for_the_marks_below(cell, keeper):
    _, rows = take(f'Tube,Box\n807,"{cell}"\n6V6GT,то же\n6SN7GT,dto.\n', by=keeper)
    assert where(rows) == [cell] * 3


def test_a_way_with_commas_is_that_of_the_tree(keeper):
    above = make.PlaceFactory(code="Regal 1", path="Regal 1")
    make.PlaceFactory(code="Fach 4", path="Regal 1 / Fach 4", parent=above)
    _, rows = take('Tube,Box\n807,"Regal 1, Fach 4"\n6V6GT,"Fach 4, Regal 1"\n6SN7GT,"Regal 1, Fach 5"\n', by=keeper)
    assert where(rows) == ["Regal 1 / Fach 4", "Regal 1 / Fach 4", "Regal 1, Fach 5"]
    assert any("taken as Regal 1 / Fach 4" in one["reason"] for one in rows[0]["remarks"])
