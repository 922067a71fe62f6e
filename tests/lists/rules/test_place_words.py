"""A place and what lies in it is one place, two of a kind are two. Common practice, no source."""

import pytest

from inventory.holdings.rules.cells import says_ditto
from inventory.lists.rules.row_parts import read_place


@pytest.mark.parametrize(
    "cell",
    [
        "Regal 1, Fach 4",
        "Schrank 2, Schublade 3, Fach 4",
        "Raum 2, Karton 7",
        "Полка 1, ящик 2",
        "шкаф 3, коробка 12",
        "стеллаж 1, полка 4",
        "Box 1, Shelf 2",
        "Cabinet 3, Drawer 4",
        "étagère 2, carton 5",
        "Armoire 1, tiroir 3",
        "kast 1, lade 4",
        "scaffale 1, ripiano 2",
        "armadio 2, cassetto 1",
        "estante 1, caja 3",
        "półka 1, pudełko 3",
        "szafa 2, szuflada 1",
        "Skříň 1, šuplík 2",
        "regál 1, police 3",
    ],
)
def test_a_place_and_what_lies_in_it_is_one(cell):
    found = read_place(cell)
    assert (found.values, found.remark) == ((cell,), None)


@pytest.mark.parametrize(
    "cell",
    [
        "Fach 1, Fach 2",
        "Box 3, box 4",
        "Box 1, 2",
        "A1, B2",
        "Box 3 and Shelf 2",
        "Regal 1; Fach 3",
        "ящик 1, ящик 2",
        "ящик 1 и ящик 2",
        "krabice 1 a krabice 2",
        "cassetto 1 e cassetto 2",
        "szafa 1 i szafa 2",
        "R1, F3",
    ],
)
def test_of_two_places_none_is_chosen(cell):
    found = read_place(cell)
    assert len(found.values) == 2 and found.remark and "none is chosen" in found.remark.reason


@pytest.mark.parametrize("mark", ["то же самое", "там же", "tamtéž", "ebenda", "come sopra", "to samo"])
def test_words_that_mean_the_row_above(mark):
    assert says_ditto(mark)
