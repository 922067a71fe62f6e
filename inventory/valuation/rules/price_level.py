"""The level of prices in the United States, by the consumer price index CPI-U; on request, and named in the result.

``amount * index now / index then`` after BLS, Math calculations to better utilize CPI data. A general change of
prices is not the change of prices of old equipment.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

SERIES = "CUUR0000SA0"
CURRENCY = "USD"
#: Months that a month without a figure may be told by one before it: an index comes out weeks after its month.
FEW_MONTHS = 3


@dataclass(frozen=True, slots=True)
class Index:
    """The figure of a month."""

    year: int
    month: int
    value: Decimal

    def __str__(self) -> str:
        return f"{self.value} of {self.year}-{self.month:02d}"


class NoIndex(ValueError):
    """There is no index of a month; its text is the reason."""


def adjusted(amount: Decimal, then: Decimal, now: Decimal) -> Decimal:
    """An amount of the time of one index in money of the time of another."""
    return amount * now / then


def read_indexes(rows: Iterable[Mapping[str, str]]) -> dict[tuple[int, int], Decimal]:
    """The rows of ``fixtures/reference/cpi_u.csv`` by year and month. Raises ValueError for what is no figure."""
    return {
        (int(row["year"]), month): Decimal(row[f"{month:02d}"])
        for row in rows
        for month in range(1, 13)
        if row[f"{month:02d}"]
    }


@dataclass(frozen=True)
class PriceLevel:
    """The series by year and month."""

    by_month: Mapping[tuple[int, int], Decimal]

    def at(self, day: date) -> Index:
        """The index of the month of a day, or of the nearest before, ``FEW_MONTHS`` at most. Raises NoIndex."""
        at = day.year * 12 + day.month - 1
        for back in range(FEW_MONTHS + 1):
            year, month = divmod(at - back, 12)
            if (found := self.by_month.get((year, month + 1))) is not None:
                return Index(year, month + 1, found)
        first, last = min(self.by_month), max(self.by_month)
        told = f"the series {SERIES} runs from {first[0]}-{first[1]:02d} to {last[0]}-{last[1]:02d}"
        raise NoIndex(f"no price index for {day:%Y-%m}: {told}")
