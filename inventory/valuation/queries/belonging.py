"""What belongs with what, thing by thing: told on papers, and kept together in lots."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from inventory.pairing.queries.mates import TIED
from inventory.pairing.queries.rows import COMPANION, PairFilter, chassis_on
from inventory.pairing.queries.station import station_view
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.rules.companions import MATCHED
from inventory.running.models import MatchedTube
from inventory.sets.models import Fitting, MatedPart, Seating

STANDS_IN, COMPANION_OF, TIED_TO, MATED, MATCHED_TUBES = "stands in", "companion", "tied", "mated", "matched set"


@dataclass(frozen=True, slots=True)
class Bond:
    """``one`` belongs with ``other``, by their tags. ``words``: where or how, for example a circuit mark."""

    one: str
    other: str
    sort: str
    words: str = ""


@dataclass(frozen=True)
class Bonds:
    """All bonds of the house on a day."""

    bonds: tuple[Bond, ...]

    def of(self) -> dict[str, list[tuple[str, Bond]]]:
        """By tag: the tags of what belongs with it, each with the bond."""
        found: dict[str, list[tuple[str, Bond]]] = defaultdict(list)
        for bond in self.bonds:
            found[bond.one].append((bond.other, bond))
            found[bond.other].append((bond.one, bond))
        return found


def bonds_on(today: date) -> Bonds:
    """Everything here that belongs with something, in a fixed number of queries, however many things there are.

    A unit that goes with several sets is tied to each of them.
    """
    return Bonds((*_standing(), *_pairs(today), *_mated(), *_matched_tubes()))


def _standing() -> Iterator[Bond]:
    fitted = Fitting.objects.filter(until__isnull=True).order_by("chassis_id", "position_id")
    for tube, chassis, mark in fitted.values_list("tube__item__tag", "chassis__item__tag", "position__mark"):
        yield Bond(tube, chassis, STANDS_IN, mark)
    seated = Seating.objects.filter(until__isnull=True).order_by("chassis_id", "bay_id")
    for unit, chassis, mark in seated.values_list("unit__item__tag", "chassis__item__tag", "bay__mark"):
        yield Bond(unit, chassis, STANDS_IN, mark)


def _pairs(today: date) -> Iterator[Bond]:
    chassis = list(chassis_on(today))
    for row in pairing_table(today, PairFilter(kinds=(COMPANION,), states=(MATCHED,)), chassis):
        if row.unit.tag and row.chassis.tag:
            yield Bond(row.unit.tag, row.chassis.tag, COMPANION_OF, "matched with it")
    view = station_view(today, chassis)
    for unit, _, line in view.rows:
        for one, state in line:
            if state in TIED:
                yield Bond(unit.tag, one.tag, TIED_TO, state)


def _mated() -> Iterator[Bond]:
    """Pieces of one mated set that are here, each with the first of them."""
    rows = MatedPart.objects.filter(item__gone_on__isnull=True, item__isnull=False)
    rows = rows.exclude(verdict=MatedPart.NOT_MATCHED).order_by("mated_set_id", "pk")
    yield from _chained(rows.values_list("mated_set_id", "mated_set__name", "item__tag"), MATED)


def _matched_tubes() -> Iterator[Bond]:
    rows = MatchedTube.objects.filter(matched_set__split_on__isnull=True, tube__item__gone_on__isnull=True)
    named = rows.order_by("matched_set_id", "pk").values_list("matched_set_id", "tube__item__tag")
    yield from _chained(((key, f"matched set M-{key:04d}", tag) for key, tag in named), MATCHED_TUBES)


def _chained(rows: object, sort: str) -> Iterator[Bond]:
    first: dict[int, str] = {}
    for key, name, tag in rows:  # type: ignore[attr-defined]
        if first.setdefault(key, tag) != tag:
            yield Bond(tag, first[key], sort, name)
