"""Sales in one line and row by row: what is read, what is refused and where."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.house.money import Money
from inventory.valuation.rules import words
from inventory.valuation.rules.entry import COLUMNS, Entry, read_entry
from inventory.valuation.rules.figures import decimal_signs, in_doubt
from inventory.valuation.rules.one_line import EXAMPLE, read_line, written

TODAY = date(2026, 11, 30)
ROW = dict(
    zip(
        COLUMNS,
        ("2026-03-14", "6SN7GT", "unused", "sold", "auction", "EUR", "25", "2", "18", "Lot 12", ""),
        strict=True,
    )
)


def refused(line):
    return [(fault.column, fault.found) for fault in read_line(line, TODAY)]


def test_the_example_is_read_and_said_again():
    entry = read_line(EXAMPLE, TODAY)
    assert entry == Entry(
        date(2026, 3, 14), "6SN7GT", "unused", "sold", Money(Decimal(25), "EUR"), "auction", 2, Decimal(18),
        source="Harbour sale, lot 12",
    )  # fmt: skip
    assert str(entry.each) == "14.75 EUR"  # 25 and 18 per cent for two; the premium belongs to the price
    assert written(entry) == EXAMPLE


@pytest.mark.parametrize(
    ("line", "quantity", "amount"),
    [
        ("today 807 unused sold 25 EUR", 1, "25"),
        ("today 807 unused sold €25 x2", 2, "25"),
        ("yesterday 807 unused 2 for 25,50 EUR sold", 2, "25.5"),
        ("today 807 unused sold 12.50 EUR each x2", 2, "25"),
        ("today VT-100 A unused boxed asking EUR 1.250,00 ×10", 10, "1250"),
    ],
)
def test_how_many_and_for_how_much(line, quantity, amount):
    entry = read_line(line, TODAY)
    assert (entry.quantity, entry.money) == (quantity, Money(Decimal(amount), "EUR"))


def test_the_longer_words_are_not_taken_for_the_shorter():
    entry = read_line("2026-01-02 JAN VT-231 unused boxed sold estate lot 30 USD not at arm's length postage 4", TODAY)
    assert (entry.designation, entry.grade, entry.venue) == ("JAN VT-231", "unused boxed", "estate lot")
    assert (entry.arms_length, entry.postage) == ("no", Decimal(4))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("2026-03-14 6SN7GT unused sold auction 25 EUR shiny", ("line", "shiny")),
        ("2026-03-14 6SN7GT unused weak sold 25 EUR", ("line", "weak")),
        ("2026-03-14 6SN7GT sold 25 EUR", ("grade", "")),
        ("2026-03-14 unused sold 25 EUR", ("designation", "")),
        ("2026-03-14 6SN7GT unused sold 25", ("currency", "")),
        ("2026-03-14 6SN7GT unused sold $25", ("currency", "$")),
        ("04/05/2026 6SN7GT unused sold 25 EUR", ("date", "04/05/2026")),
        ("2026-03-14 6SN7GT unused sold 3 for 25 EUR x2", ("line", "3")),
        ("2026-03-14 6SN7GT unused sold 0 EUR", ("amount", "0")),
        ("", ("date", "")),
    ],
)
def test_what_is_not_plain_is_refused_where_it_stands(line, says):
    assert says in refused(line)


plain = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/-", min_size=1, max_size=12).filter(
    lambda text: (
        text[0].isalnum() and text[-1].isalnum() and any(c.isdigit() for c in text) and any(c.isalpha() for c in text)
    )
)
entries = st.builds(
    Entry,
    on=st.dates(date(1950, 1, 1), TODAY),
    designation=plain.filter(lambda text: not isinstance(read_entry({**ROW, "designation": text}, TODAY), tuple)),
    grade=st.sampled_from(words.GRADES),
    kind=st.sampled_from(words.KINDS),
    money=st.builds(
        Money,
        st.decimals("0.01", "99999", places=2).map(lambda d: d.normalize() + 0),
        st.sampled_from(["EUR", "USD", "DEM", "GBP"]),
    ),
    venue=st.sampled_from(("", *words.VENUES)),
    quantity=st.integers(1, 999),
    premium_pct=st.none() | st.integers(0, 40).map(Decimal),
    postage=st.none() | st.decimals("0.5", "99", places=1).map(lambda d: d.normalize() + 0),
    arms_length=st.sampled_from(words.ARMS_LENGTH),
    source=st.sampled_from(["", "Harbour sale, p. 4", "https://example.org/lots/7"]),
    note=st.sampled_from(["", "two of them with a loose base"]),
)


@pytest.mark.parametrize("designation", ["X2", "X0", "DM70", "USD1"])
def test_what_stands_first_is_the_designation(designation):
    """DM70 is a tuning indicator, and no 70 marks."""
    entry = read_line(f"2026-03-14 {designation} unused sold auction 2 for 25 EUR", TODAY)
    assert (entry.designation, entry.quantity, entry.money) == (designation, 2, Money(Decimal(25), "EUR"))


@given(entries)
def test_an_entry_comes_back_from_its_line(entry):
    assert read_line(written(entry), TODAY) == entry


@given(st.text(max_size=80))
def test_no_line_is_a_fault_of_the_program(line):
    read = read_line(line, TODAY)
    assert isinstance(read, Entry) or read


@pytest.mark.parametrize(
    ("column", "cell", "says"),
    [
        ("date", "March 2026", "no single day"), ("date", "2027-01-01", "future"), ("date", "", "no date"),
        ("date", "04/05/2026", "2026-05-04 or 2026-04-05"), ("designation", "=A1", "formula"),
        ("grade", "as new", "expected unused boxed"), ("kind", "", "expected sold, asking"),
        ("venue", "market", "expected auction"), ("currency", "EUX", "no currency code"), ("currency", "$", "which"),
        ("amount", "-5", "cannot be read"), ("amount", "free", "no amount"), ("amount", "12 USD", "in USD"),
        ("quantity", "0", "whole number"), ("quantity", "2.5", "whole number"), ("premium_pct", "180", "per cent"),
    ],
)  # fmt: skip
def test_cell_that_cannot_be_taken(column, cell, says):
    (fault,) = read_entry({**ROW, column: cell}, TODAY)
    assert (fault.column, fault.found) == (column, cell) and says in fault.reason


@pytest.mark.parametrize(
    ("column", "cell", "field", "value"),
    [
        ("amount", "1.234,50", "money", Money(Decimal("1234.5"), "EUR")),
        ("amount", "1,234.50", "money", Money(Decimal("1234.5"), "EUR")),
        ("amount", "25,00 €", "money", Money(Decimal(25), "EUR")),
        ("date", "14.3.2026", "on", date(2026, 3, 14)), ("date", "14 Mar 2026", "on", date(2026, 3, 14)),
        ("premium_pct", "12,5 %", "premium_pct", Decimal("12.5")), ("premium_pct", "", "premium_pct", None),
        ("amount", "0.125", "money", Money(Decimal("0.125"), "EUR")),
        ("amount", "1234.5678", "money", Money(Decimal("1234.5678"), "EUR")),
        ("amount", "12,34567", "money", Money(Decimal("12.3457"), "EUR")),
        ("amount", "1,234", "money", Money(Decimal(1234), "EUR")),
        ("quantity", "", "quantity", 1), ("venue", "Estate  Lot", "venue", "estate lot"), ("venue", "", "venue", ""),
    ],
)  # fmt: skip
def test_cell_as_people_write_it(column, cell, field, value):
    assert getattr(read_entry({**ROW, column: cell}, TODAY), field) == value


def test_dates_told_apart_by_what_is_said_of_the_list():
    cells = {**ROW, "date": "04/05/2026"}
    assert read_entry(cells, TODAY, "day").on == date(2026, 5, 4)
    assert read_entry(cells, TODAY, "month").on == date(2026, 4, 5)


def test_all_that_is_wrong_comes_at_once_in_the_order_of_the_columns():
    faults = read_entry({"date": "?", "amount": "x"}, TODAY)
    assert [fault.column for fault in faults] == ["date", "designation", "grade", "kind", "currency", "amount"]


@pytest.mark.parametrize(
    ("cell", "column", "currency", "both"),
    [
        ("12.345", ["12.50", "1,000"], "EUR", ("12345", "12.345")), ("12,345 €", ["3,5"], "EUR", ("12345", "12.345")),
        ("12.345", ["12,50", "8"], "EUR", None), ("12.345", [], "EUR", None),
        ("12.345", [], "KWD", ("12345", "12.345")),
        ("1,234", ["1,234.50"], "USD", None), ("0.125", ["12.50"], "EUR", None), ("1.234.567", ["1.5"], "EUR", None),
    ],
)  # fmt: skip
def test_a_figure_that_the_others_of_its_column_read_another_way_is_asked(cell, column, currency, both):
    """Two decimals of most currencies, three of the dinar of Kuwait: ISO 4217."""
    signs = decimal_signs([cell, *column])
    assert in_doubt(cell, signs, currency) == both
    read = read_entry({**ROW, "amount": cell, "currency": currency}, TODAY, signs=signs)
    assert isinstance(read, Entry) == (both is None)
    if both:
        assert read[0].column == "amount" and f"{both[0]} or {both[1]}" in read[0].reason


def test_what_was_read_by_a_habit_is_told():
    remarks = read_entry({**ROW, "premium_pct": "0.25", "amount": "12.345678"}, TODAY).remarks
    assert len(remarks) == 2 and "12.3457" in remarks[0] and "write 25" in remarks[1]
    assert read_entry({**ROW, "premium_pct": "25"}, TODAY).remarks == ()


@pytest.mark.parametrize(
    ("short", "grade"), [("NOS", "unused"), ("used good", "used tested good"), ("nos boxed", "unused boxed")]
)
def test_a_short_word_that_has_one_meaning_is_that_grade(short, grade):
    assert read_line(f"2026-03-14 6SN7GT {short} sold fair 20€", TODAY).grade == grade
