"""What became of the value of a collection between two valuations: bought, gone, condition, price, evidence.

The difference of a thing that is there both times parts so: ``condition`` is what its new grade was worth at the old
prices, less what its old grade was; ``price`` is what the new grade is worth now, less what it was worth then. So the
parts add up to the difference of the totals, line by line.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

PARTS = ("bought", "gone", "condition", "price", "evidence found", "evidence lost")
NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Valued:
    """A thing as one valuation has it. ``amount`` is None without evidence; ``of``: whose prices it goes by."""

    tag: str
    what: str
    grade: str
    amount: Decimal | None
    of: str = ""


@dataclass(frozen=True, slots=True)
class Difference:
    """A thing whose value is another: before, now (None: not there, or not valued), and how that parts."""

    tag: str
    what: str
    grade_then: str
    grade_now: str
    then: Decimal | None
    now: Decimal | None
    parts: Mapping[str, Decimal]

    @property
    def amount(self) -> Decimal:
        return (self.now or NOTHING) - (self.then or NOTHING)


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that differs, the largest differences first, and the sum of each part."""

    differences: tuple[Difference, ...]
    parts: Mapping[str, Decimal]
    then: Decimal
    now: Decimal
    same: int


def compare(
    then: Iterable[Valued], now: Iterable[Valued], prices_then: Mapping[tuple[str, str], Decimal]
) -> Comparison:  # fmt: skip
    """Two valuations in one currency. ``prices_then``: by (``of``, grade) what the earlier one had for every grade."""
    before, after = {one.tag: one for one in then}, {one.tag: one for one in now}
    found, same = [], 0
    for tag in sorted(before.keys() | after.keys()):
        one = _difference(tag, before.get(tag), after.get(tag), prices_then)
        if one is None:
            same += 1
        else:
            found.append(one)
    found.sort(key=lambda one: (-abs(one.amount), one.tag))
    parts = {part: sum((one.parts.get(part, NOTHING) for one in found), NOTHING) for part in PARTS}
    return Comparison(tuple(found), parts, _total(before.values()), _total(after.values()), same)


def _total(rows: Iterable[Valued]) -> Decimal:
    return sum((one.amount or NOTHING for one in rows), NOTHING)


def _difference(
    tag: str, old: Valued | None, new: Valued | None, prices: Mapping[tuple[str, str], Decimal]
) -> Difference | None:  # fmt: skip
    parts: dict[str, Decimal] = {}
    then, now = old.amount if old else None, new.amount if new else None
    if old is None:
        parts["bought"] = now or NOTHING
    elif new is None:
        parts["gone"] = -(then or NOTHING)
    elif then is None and now is None:
        if old.grade == new.grade:
            return None
    elif then is None:
        parts["evidence found"] = now or NOTHING
    elif now is None:
        parts["evidence lost"] = -then
    else:
        in_between = then if old.grade == new.grade else prices.get((old.of, new.grade), then)
        parts = {"condition": in_between - then, "price": now - in_between}
        if not any(parts.values()) and old.grade == new.grade:
            return None
    what = new.what if new else old.what if old else ""
    grades = old.grade if old else "", new.grade if new else ""
    return Difference(tag, what, *grades, then, now, {part: sum_ for part, sum_ in parts.items() if sum_})
