"""What is drawn of sums by year or place: a bar each, and which lines of the table it stands for."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.figures.queries.tubes import DRAWN
from inventory.figures.rules.years import NOTHING, Line, latest

YEARS = 14  # drawn one by one, the last of them the latest
NO_YEAR, NOWHERE = "year not known", "no place of its own"


@dataclass(frozen=True, slots=True)
class Entry:
    """A bar with its name. ``lines``: what it stands for: several that were put together, or none in a year without."""

    name: str
    lines: tuple[Line, ...]
    names: tuple[str, ...]
    unknown: bool = False

    @property
    def amount(self) -> Decimal:
        return sum((one.amount for one in self.lines), NOTHING)

    @property
    def prices(self) -> int:
        return sum(one.prices for one in self.lines)

    @property
    def things(self) -> int:
        return sum(one.things for one in self.lines)

    @property
    def together(self) -> bool:
        """Whether lines were put together, which stand below it one by one."""
        return len(self.lines) > 1


def _alone(name: str, *lines: Line, unknown: bool = False) -> Entry:
    return Entry(name, lines, (name,) * len(lines), unknown)


def by_year(some: Sequence[Line]) -> list[Entry]:
    """The latest years without a gap, those before them put together; what is of no known year last."""
    known = {one.of: one for one in some if one.of is not None}
    drawn, before = latest(sorted(known), YEARS)
    entries = []
    if before:
        entries.append(Entry(f"until {before[-1]}", tuple(known[year] for year in before), tuple(map(str, before))))
    entries += [_alone(str(year), *([known[year]] if year in known else [])) for year in drawn]
    return entries + [_alone(NO_YEAR, one, unknown=True) for one in some if one.of is None]


def by_place(some: Sequence[Line], names: dict[int, str]) -> list[Entry]:
    """Places from the highest sum, those that have no room put together; what is in no place last."""
    known = sorted((names[one.of], one) for one in some if one.of)
    known.sort(key=lambda pair: -pair[1].amount)
    kept, rest = (known, []) if len(known) <= DRAWN else (known[: DRAWN - 1], known[DRAWN - 1 :])
    entries = [_alone(name, one) for name, one in kept]
    if rest:
        entries.append(Entry(f"{len(rest)} others", tuple(one for _, one in rest), tuple(name for name, _ in rest)))
    return entries + [_alone(NOWHERE, one, unknown=True) for one in some if not one.of]
