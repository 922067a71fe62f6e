"""Cells as keepers write them: each text and what it made. Common practice, no source, where nothing else is named.

Tubes are looked at through a row of a list; set models, people and places are invented.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.holdings.rules.prices import read_price
from inventory.holdings.rules.readings import read_reading
from inventory.lists.rules import fields as f
from inventory.lists.rules.quantities import read_quantity
from inventory.lists.rules.rows import read_row
from tests.lists.rules.reference import context


def row(mark="807", count="1", reading="", note="", state=None):
    cells, fields = [mark, count, reading, note], [f.MARK, f.QUANTITY, f.READING, f.NOTE]
    if state is not None:
        cells, fields = [*cells, state], [*fields, f.STATE]
    return read_row(cells, fields, context())


@pytest.mark.parametrize(
    ("text", "value", "minimum"),
    [
        ("62 (min 40)", "62", "40"),
        ("62 (min. 40)", "62", "40"),
        ("58(min30)", "58", "30"),
        ("62 min 40", "62", "40"),
        ("62, min: 40", "62", "40"),
        ("62 (40 min)", "62", "40"),
        ("4,5 (mind. 3,2)", "4,5", "3,2"),
        ("62 [reject 40]", "62", "40"),
        ("62 / min 40", "62", "40"),
        ("5200 umho (minimum 3200 umho)", "5200", "3200"),
        ("52 over 32", "52", "32"),
        ("52/32", "52", "32"),
        ("71 über 38", "71", "38"),
        ("71 sur 38", "71", "38"),
    ],
)
def test_a_reading_with_its_minimum(text, value, minimum):
    found = read_reading(text)
    assert (found.value, found.minimum) == (value, minimum)
    (column,) = row("807", "1", text).readings
    assert [(one.value, one.minimum) for one in column.readings] == [(value, minimum)]


@pytest.mark.parametrize("text", ["40 min", "62 (40)", "min 40", "1240 min", "52 over 62 over 32"])
def test_a_minimum_that_is_not_told_is_not_made_up(text):
    assert not read_reading(text).minimum


@pytest.mark.parametrize(
    ("count", "text", "values", "whose"),
    [
        ("4", "70, 66, 71, 44?", ["70", "66", "71", "44"], (0, 1, 2, 3)),
        ("4", "70,66,71,44", ["70", "66", "71", "44"], (0, 1, 2, 3)),
        ("3", "70;66;71", ["70", "66", "71"], (0, 1, 2)),
        ("3", "70 66 71", ["70", "66", "71"], (0, 1, 2)),
        ("3", "70 / 66 / 71", ["70", "66", "71"], (0, 1, 2)),
        ("3", "1,5; 1,6; 1,4", ["1,5", "1,6", "1,4"], (0, 1, 2)),
        ("2", "70 and 66", ["70", "66"], (0, 1)),
        ("3", "70, -, 66", ["70", "66"], (0, 2)),
        ("2", "#1 70, #2 66", ["70", "66"], (0, 1)),
        ("dozen", ", ".join(map(str, range(60, 72))), [str(n) for n in range(60, 72)], tuple(range(12))),
    ],
)
def test_one_reading_for_each_tube(count, text, values, whose):
    (column,) = row(count=count, reading=text).readings
    assert [one.value for one in column.readings] == values and column.whose == whose


@pytest.mark.parametrize(
    ("count", "text", "why"),
    [
        ("3", "70, 66, 71, 44", "4 readings for 3 things"),
        ("5", "70, 66, 71, 44", "4 readings for 5 things"),
        ("1", "70, 66", "2 readings for one thing"),
        ("2", "70,66", "one reading for 2 things"),  # seventy and a bit, or two
        ("2", "1 500", "cannot be read"),  # fifteen hundred, or two
    ],
)
def test_readings_that_are_not_one_for_each_are_told(count, text, why):
    found = row(count=count, reading=text)
    assert not any(column.whose for column in found.readings)
    assert any(why in one.reason for one in found.remarks)


def test_a_doubted_reading_is_told_and_a_word_among_them_is_the_state_of_its_tube():
    assert any(one.reason == "44? is doubted in the list" for one in row(count="4", reading="70, 66, 71, 44?").remarks)
    found = row(count="4", reading="70, 66, dead, 44")
    assert [(group.count, group.state) for group in found.groups] == [
        (1, "untested"), (1, "untested"), (1, "dud"), (1, "untested"),
    ]  # fmt: skip


@given(st.lists(st.integers(10, 99), min_size=2, max_size=9), st.sampled_from([", ", "; ", " & ", "\n", " "]))
def test_as_many_figures_as_tubes_are_their_readings(figures, between):
    (column,) = row(count=str(len(figures)), reading=between.join(map(str, figures))).readings
    assert [int(one.value) for one in column.readings] == figures
    assert column.whose == tuple(range(len(figures)))


@given(st.text(max_size=40), st.text(max_size=40), st.sampled_from(["1", "2", "4", "dozen", ""]))
def test_no_cell_breaks_a_row(reading, note, count):
    found = row(count=count, reading=reading, note=note)
    assert all(len(one.whose) in (0, len(one.readings)) for one in found.readings)


@pytest.mark.parametrize("text", ["dead", "BAD", "open heater", "heater open", "Dead.", "shorted", "taub", "defekt"])
@pytest.mark.parametrize("where", ["reading", "note", "state"])
def test_one_tube_that_a_word_calls_dead_is_a_dud(text, where):
    found = row(**{where: text})
    assert [(group.count, group.state) for group in found.groups] == [(1, "dud")]


@pytest.mark.parametrize("note", ["new dead stock", "from a dead receiver", "bad box", "no duds among them"])
def test_words_that_call_no_tube_dead(note):
    assert row(note=note).state == "untested"


def test_of_several_tubes_nobody_knows_which_is_dead():
    found = row(count="3", note="dead")
    assert found.state == "untested" and "not which" in found.remarks[0].reason


@pytest.mark.parametrize(
    ("text", "amount", "currency", "per"),
    [
        ("$100 (each)", "100", "USD", "each"),
        ("$100 each", "100", "USD", "each"),
        ("100 USD ea", "100", "USD", "each"),
        ("each $7.50", "7.50", "USD", "each"),
        ("$100 (pair)", "100", "USD", "lot"),
        ("$100 (for 4)", "100", "USD", "lot"),
        ("$80 total", "80", "USD", "lot"),
        ("100 € pro Stück", "100", "EUR", "each"),
        ("5 € l'uno", "5", "EUR", "each"),
        ("50 Kč za kus", "50", "CZK", "each"),
        ("100 руб/шт", "100", "RUB", "each"),
        ("fl 35", "35", "NLG", ""),
        ("35 fl", "35", "NLG", ""),
        ("fl. 12,50", "12.50", "NLG", ""),
        ("35 gulden", "35", "NLG", ""),
        ("12", "12", "USD", ""),
    ],
)
def test_prices(text, amount, currency, per):
    found = read_price(text, currency="USD")
    assert (found.amount, found.currency, found.per) == (Decimal(amount), currency, per)


@pytest.mark.parametrize("text", ["(100)", "f 35", "$100 or so (I think)"])
def test_prices_that_are_not_plain_are_kept_as_found(text):
    found = read_price(text, currency="USD")
    assert found.amount is None and found.remark


@pytest.mark.parametrize(
    ("text", "figure", "duds", "stated"),
    [
        ("dozen", 12, 0, ()),
        ("2 dozen", 24, 0, ()),
        ("ein Dutzend", 12, 0, ()),
        ("une douzaine", 12, 0, ()),
        ("tuzin", 12, 0, ()),
        ("ein Paar", 2, 0, ()),
        ("Paar", 2, 0, ()),
        ("une paire", 2, 0, ()),
        ("una coppia", 2, 0, ()),
        ("6 (4 NOS + 2 used)", 6, 0, ((4, "untested", "nos"), (2, "untested", "used"))),
        ("7 (5 NOS, 2 pulls)", 7, 0, ((5, "untested", "nos"), (2, "untested", "pulls"))),
        ("4 NOS, 2 used", 6, 0, ((4, "untested", "nos"), (2, "untested", "used"))),
        ("6 (4 good, 2 bad)", 4, 2, ((4, "good", "good"),)),
        ("6 (4 neu + 2 gebraucht)", 6, 0, ((4, "untested", "neu"), (2, "untested", "gebraucht"))),
        ("6 (4 NOS + 1 used)", 6, 0, ((1, "", ""), (4, "untested", "nos"), (1, "untested", "used"))),
        ("6 (all NOS)", 6, 0, ((6, "untested", "nos"),)),
        ("leer", 0, 0, ()),
    ],
)
def test_counts(text, figure, duds, stated):
    found = read_quantity(text)
    assert (found.figure, found.duds, found.stated) == (figure, duds, stated)


@pytest.mark.parametrize("text", ["ein paar", "EIN PAAR", "een paar", "6 (4 NOS + 3 used)", "dozen or so"])
def test_counts_that_are_not_plain_are_not_guessed(text):
    found = read_quantity(text)
    assert found.figure is None and found.to_count and found.remark
