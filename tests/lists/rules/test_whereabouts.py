"""Words of what is lent, borrowed, given and gone, in nine languages. Ways of writing: common practice, no source.

People and houses are invented.
"""

import pytest

from inventory.lists.rules import fields as f
from inventory.lists.rules.row_result import GONE, LENT
from inventory.lists.rules.rows import RowReading, read_row
from tests.lists.rules.reference import context

BORROWED = [
    ("on loan from the Skerry museum", "the Skerry museum"),
    ("lent to me by Jan Holm", "Jan Holm"),
    ("borrowed from Holm, 2019", "Holm"),
    ("belongs to Jan Holm", "Jan Holm"),
    ("leihweise von Holm", "Holm"),
    ("geliehen von Holm", "Holm"),
    ("Leihgabe von Holm", "Holm"),
    ("gehört Holm", "Holm"),
    ("in prestito da Rossi", "Rossi"),
    ("di proprietà di Rossi", "Rossi"),
    ("prêtée par Luc", "Luc"),
    ("empruntée à Luc", "Luc"),
    ("in bruikleen van Piet", "Piet"),
    ("wypożyczona od Kowala", "Kowala"),
    ("zapůjčena od Nováka", "Nováka"),
    ("взята на время у Иванова", "Иванова"),
    ("собственность музея", "музея"),
]
LENT_OUT = [
    ("on loan to the Skerry museum since 2018", "the Skerry museum"),
    ("loaned to Holm 2018", "Holm"),
    ("verliehen an Holm", "Holm"),
    ("leihweise an Holm", "Holm"),
    ("in prestito a Rossi", "Rossi"),
    ("prêtée à Luc", "Luc"),
    ("uitgeleend aan Piet", "Piet"),
]
HERE = [
    "given to me by Jan Holm", "gave to me", "donnée à moi par Luc", "abgegeben von Holm", "sold as is",
    "verkauft an mich", "venduta da Rossi", "sold to us by Holm", "oddana przez Kowala", "gone soft",
    "verschenkt von Holm", "gone a bit weak", "traded to get it",
]  # fmt: skip
LEFT = [
    "sold 2020 for 30", "sold to Holm", "given to Holm", "gone", "gone to Holm", "gone since 2019", "verkauft an Holm",
    "verkauft von mir", "abgegeben an Holm", "venduta a Rossi", "donnée à Luc", "sprzedana", "продана Иванову",
]  # fmt: skip


def row(note: str = "", place: str = "") -> RowReading:
    return read_row(("6SN7GT", "1", note, place), (f.MARK, f.QUANTITY, f.NOTE, f.PLACE), context())


@pytest.mark.parametrize(("words", "who"), BORROWED)
def test_what_is_borrowed_is_here_and_somebody_elses(words: str, who: str) -> None:
    for found in (row(note=words), row(note=f"NOS; {words}"), row(place=words)):
        assert found.away is None
        assert (found.register[f.HOW], found.acquired_from) == ("on loan", who)
        assert any("belongs to" in remark.reason for remark in found.remarks)
    assert row(place=words).places == ()


@pytest.mark.parametrize(("words", "who"), LENT_OUT)
def test_what_is_lent_out_is_asked_about(words: str, who: str) -> None:
    found = row(note=words)
    assert found.away is not None and (found.away.kind, found.away.who) == (LENT, who)
    assert f.HOW not in found.register


@pytest.mark.parametrize("words", HERE)
def test_how_it_came_and_how_it_sounds_is_no_leaving(words: str) -> None:
    found = row(note=words)
    assert found.away is None and f.HOW not in found.register and found.note == words


@pytest.mark.parametrize("words", LEFT)
def test_what_left_is_asked_about(words: str) -> None:
    found = row(note=words)
    assert found.away is not None and found.away.kind == GONE


def test_what_was_brought_back_is_neither() -> None:
    found = row(note="on loan from Holm, returned 2020")
    assert found.away is None and f.HOW not in found.register
