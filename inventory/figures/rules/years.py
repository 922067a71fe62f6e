"""What came, left and was paid, year by year. Pure folds over counts."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

ACQUIRED, ENTERED, UNKNOWN = "acquired", "entered", "unknown"
NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True)
class Came:
    """So many things of a kind that came in a year (None: not known), known by acquisition or by entry, and the year
    in which they left (None: they are here).
    """

    kind: str
    by: str
    year: int | None
    left: int | None
    count: int


@dataclass(frozen=True, slots=True)
class Year:
    """A year of a collection. ``here``: how many things were there at its end, ``dated`` of them by acquisition.

    ``still``: of what came in it, how many are here now, as (by, kind, number).
    """

    year: int
    acquired: int
    entered: int
    left: int
    here: int
    dated: int
    still: tuple[tuple[str, str, int], ...] = ()

    @property
    def undated(self) -> int:
        """Of those that were there, how many came in a year known by entry alone, or in none."""
        return self.here - self.dated


@dataclass(frozen=True, slots=True)
class Growth:
    """``years``: those in which anything came or left, the earliest first. ``undated``: things of no known year, which
    count as being there from the beginning; ``undated_here``: those of them that are here, by kind.
    """

    years: tuple[Year, ...]
    undated: int
    undated_here: tuple[tuple[str, int], ...]
    here: int
    left: int


def growth(groups: Iterable[Came]) -> Growth:
    """The collection over the years: what came less what left."""
    groups = list(groups)
    came: dict[tuple[str, int], int] = defaultdict(int)
    left: dict[tuple[bool, int], int] = defaultdict(int)
    still: dict[int, dict[tuple[str, str], int]] = defaultdict(lambda: defaultdict(int))
    undated_here: dict[str, int] = defaultdict(int)
    undated = 0
    for one in groups:
        if one.left is not None:
            left[one.by == ACQUIRED, one.left] += one.count
        if one.year is None:
            undated += one.count
            if one.left is None:
                undated_here[one.kind] += one.count
            continue
        came[one.by, one.year] += one.count
        if one.left is None:
            still[one.year][one.by, one.kind] += one.count
    here, dated, years = undated, 0, []
    for year in sorted({year for _, year in (*came, *left)}):
        acquired, entered = came[ACQUIRED, year], came[ENTERED, year]
        gone = left[True, year], left[False, year]
        here += acquired + entered - sum(gone)
        dated += acquired - gone[0]
        kept = tuple((by, kind, number) for (by, kind), number in sorted(still[year].items()))
        years.append(Year(year, acquired, entered, sum(gone), here, dated, kept))
    return Growth(
        tuple(years), undated, tuple(sorted(undated_here.items())),
        sum(one.count for one in groups if one.left is None), sum(one.count for one in groups if one.left is not None),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Sum:
    """What ``prices`` of some things of a kind come to in a currency (empty: none is written). ``of``: the year or
    place that they are counted under, None where it is not known; ``here``: they have not left.
    """

    of: int | None
    currency: str
    kind: str
    here: bool
    amount: Decimal
    prices: int
    things: int


@dataclass(frozen=True, slots=True)
class Line:
    """The sum of one year or place in one currency. ``here``: those of its things that are here, by kind."""

    of: int | None
    currency: str
    amount: Decimal
    prices: int
    things: int
    here: tuple[tuple[str, int], ...]


def lines(sums: Iterable[Sum]) -> tuple[Line, ...]:
    """Sums by currency and what they are counted under; nothing is added across currencies. By currency, then in
    rising order, what is not known last.
    """
    found: dict[tuple[str, int | None], list[Sum]] = defaultdict(list)
    for one in sums:
        found[one.currency, one.of].append(one)
    told = []
    for (currency, of), some in found.items():
        here: dict[str, int] = defaultdict(int)
        for one in some:
            if one.here:
                here[one.kind] += one.things
        amount = sum((one.amount for one in some), NOTHING)
        prices, things = sum(one.prices for one in some), sum(one.things for one in some)
        told.append(Line(of, currency, amount, prices, things, tuple(sorted(here.items()))))
    return tuple(sorted(told, key=lambda one: (not one.currency, one.currency, one.of is None, one.of or 0)))


def totals(some: Iterable[Line]) -> dict[str, Decimal]:
    """The sum of each currency."""
    found: dict[str, Decimal] = defaultdict(Decimal)
    for one in some:
        found[one.currency] += one.amount
    return dict(found)


def latest(years: Sequence[int], most: int) -> tuple[list[int], list[int]]:
    """Years that are drawn one by one, without a gap up to the last; and those before them, which are put together."""
    if not years:
        return [], []
    first = max(min(years), max(years) - most + 1)
    if first > min(years):
        first += 1  # what is put together takes the room of one
    return list(range(first, max(years) + 1)), [year for year in years if year < first]
