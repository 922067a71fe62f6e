"""Many pairs at once: their states from the station view, the reasons only of those that are shown."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, overload

from inventory.pairing.queries.companions import companion_rows, narrowed
from inventory.pairing.queries.rows import COMPANION, PairFilter, PairRow, chassis_on
from inventory.pairing.queries.station import StationFilter, StationView, station_view
from inventory.pairing.queries.table import in_order, order_of, pairing_table, rows_of
from inventory.pairing.rules.companions import MATE_MISSING, NOT_MATCHED, UNKNOWN
from inventory.pairing.rules.fold import DUE, PRESUMED, RESET_AND_VERIFY
from inventory.sets.models import Chassis

OPEN = (DUE, RESET_AND_VERIFY, PRESUMED)
Keys = tuple[int, int]  # of chassis and unit


@dataclass(frozen=True)
class OpenPairs:
    """Pairs with something to do before going on the air: how many of each state, and lines of the first of each."""

    counts: Mapping[str, int]
    rows: tuple[PairRow, ...]

    def __iter__(self) -> Iterator[PairRow]:
        return iter(self.rows)

    def of(self, state: str) -> tuple[PairRow, ...]:
        return tuple(row for row in self.rows if row.state == state)


def pairs_open(on: date, most: int | None = None, chassis: Sequence[Chassis] | None = None) -> OpenPairs:
    """Pairs that are due, to be reset, or only presumed; lines of the first ``most`` of each state (None: of all).

    A fixed number of queries; what grows with the collection are the states, and they are worked out all at once.
    ``chassis``: those of ``chassis_on`` that day, where the caller has them already.
    """
    keys: dict[str, list[Keys]] = {state: [] for state in OPEN}
    for state, pair in _in_order(station_view(on, chassis)):
        if state in keys:
            keys[state].append(pair)
    shown = [pair for state in OPEN for pair in keys[state][:most]]
    rows = sorted(rows_of(on, shown), key=lambda row: (*order_of(row.chassis), *order_of(row.unit)))
    return OpenPairs({state: len(pairs) for state, pairs in keys.items()}, tuple(rows))


def _in_order(view: StationView) -> Iterator[tuple[str, Keys]]:
    """State and keys of every pair of a view, in the order of the table."""
    across = sorted(range(len(view.chassis)), key=lambda at: order_of(view.chassis[at]))
    down = sorted(range(len(view.units)), key=lambda at: order_of(view.units[at]))
    for column in across:
        for line in down:
            if state := view.states[line][column]:
                yield state, (view.chassis[column].key or 0, view.units[line].key or 0)


class PairList(Sequence[PairRow]):
    """The pairing table as a list that tells reasons only of the lines taken from it; ``counts`` are of all.

    ``anything``: whether there is any line where nothing is left out.
    """

    def __init__(self, on: date, pairs: list[tuple[str, Keys]], companions: list[PairRow], anything: bool) -> None:
        self.on, self.pairs, self.companions, self.anything = on, pairs, companions, anything
        found = Counter(state for state, _ in pairs) + Counter(row.state for row in companions)
        self.counts = sorted(found.items())

    def __len__(self) -> int:
        return len(self.pairs) + len(self.companions)

    @overload
    def __getitem__(self, at: int) -> PairRow: ...

    @overload
    def __getitem__(self, at: slice) -> list[PairRow]: ...

    def __getitem__(self, at: Any) -> Any:
        if not isinstance(at, slice):
            return self[at : at + 1 or None][0]
        start, stop, _ = at.indices(len(self))
        pairs = [keys for _, keys in self.pairs[start:stop]]
        rest = self.companions[max(start - len(self.pairs), 0) : max(stop - len(self.pairs), 0)]
        return rows_of(self.on, pairs) + rest


def pair_list(on: date, wanted: PairFilter) -> PairList:
    """The lines that ``pairing_table`` gives for words, frequency and states, for a page that shows some of them."""
    chassis = list(chassis_on(on))
    whole, every = station_view(on, chassis), companion_rows(on, chassis)
    view = whole.narrowed(StationFilter(wanted.chassis, wanted.unit, wanted.frequency_kc, wanted.states))
    companions = in_order(narrowed(every, wanted))
    return PairList(on, list(_in_order(view)), companions, bool(every or whole.counts))


def companions_to_settle(on: date, chassis: Sequence[Chassis] | None = None) -> list[PairRow]:
    """Companions and sets that are not matched. ``chassis``: as for ``pairs_open``."""
    wanted = PairFilter(states=(NOT_MATCHED, MATE_MISSING, UNKNOWN), kinds=(COMPANION,))
    return pairing_table(on, wanted, chassis)
