"""Two valuations beside each other: the parts add up to the difference, whatever changed."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from inventory.valuation.rules.compare import PARTS, Valued, compare
from inventory.valuation.rules.words import GRADES


def valued(tag, grade, amount, of="807"):
    return Valued(tag, of, grade, None if amount is None else Decimal(amount), of)


def test_each_part_by_an_example_worked_by_hand():
    """T-1 went from unused (40) to used tested good (24 then, 30 now): condition -16, price +6."""
    then = [valued("T-1", "unused", 40), valued("T-2", "weak", 5), valued("T-4", "dud", None), valued("T-5", "weak", 5)]
    now = [
        valued("T-1", "used tested good", 30), valued("T-3", "unused", 50), valued("T-4", "dud", 1),
        valued("T-5", "weak", 5),
    ]  # fmt: skip
    found = compare(then, now, {("807", "used tested good"): Decimal(24)})
    assert found.parts == {
        "bought": 50, "gone": -5, "condition": -16, "price": 6, "evidence found": 1, "evidence lost": 0,
    }  # fmt: skip
    assert (found.then, found.now, found.same) == (50, 86, 1)
    assert [(one.tag, one.amount) for one in found.differences] == [("T-3", 50), ("T-1", -10), ("T-2", -5), ("T-4", 1)]


amounts = st.none() | st.integers(0, 999).map(Decimal)
rows = st.dictionaries(st.integers(0, 8), st.tuples(st.sampled_from(GRADES), amounts), max_size=8)


@given(rows, rows, st.dictionaries(st.sampled_from(GRADES), st.integers(0, 999).map(Decimal)))
def test_the_parts_are_the_difference_of_the_totals(then, now, prices):
    before, after = ([valued(f"T-{n}", *said) for n, said in one.items()] for one in (then, now))
    found = compare(before, after, {("807", grade): amount for grade, amount in prices.items()})
    assert set(found.parts) == set(PARTS)
    assert sum(found.parts.values()) == found.now - found.then == sum(one.amount for one in found.differences)
