"""Rows of a list that came in before and was saved again with a cell or two of some rows changed.

A list is that of before where its file has that name or its headings are those, and half of its rows, or of those of
before, are equal. Of the rows before for which no equal row stands, one is meant that names the same tube or thing and
differs in one cell or two, while two cells or more are the same. It is asked about, never taken for granted.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from inventory.lists.models import ImportRun
from inventory.lists.queries.runs import lists_before, rows_standing
from inventory.lists.rules import fields as f
from inventory.lists.rules.columns import column_keys
from inventory.lists.rules.records import line_of
from inventory.lists.rules.same_rows import fold_cell
from inventory.lists.rules.spreadsheet_cells import plain_cell

MOST_CHANGED, LEAST_SAME = 2, 2  # cells of a row
LISTS = 3  # the latest so many that a list is compared with
SHORT = 15  # hexadecimal figures of a digest by which rows of one list are compared
_NAMING = (f.MARK, f.TYPE, f.MODEL)


@dataclass(frozen=True, slots=True)
class Changed:
    """The row before that one of this list may correct, and what it says otherwise: ``Qty: 1 -> 3``."""

    run: int
    row: int
    what: str


@dataclass(slots=True)
class _Kept:
    run: int
    row: int
    cells: dict[str, str]  # by heading, as they were written


class LikeBefore:
    """What of a list before waits for its row; each is meant by one row of this list at most.

    ``mine``: the rows of this list by a short digest. Two queries.
    """

    def __init__(
        self, keys: Sequence[str], mapping: Sequence[str], mine: Counter[int], *, but: int | None, name: str,
        heading: Sequence[str],
    ) -> None:  # fmt: skip
        self.keys = keys
        self.tested = {key for key, field in zip(keys, mapping, strict=False) if field in (f.READING, f.MINIMUM)}
        self.naming = [keys[at] for at, field in enumerate(mapping) if field in _NAMING and at < len(keys)]
        self.left: dict[str, list[_Kept]] = defaultdict(list)  # by what names the thing
        runs = {run.pk: run for run in lists_before(but, name, heading)[:LISTS]}
        for key, rows in groupby(rows_standing(list(runs.values())), key=lambda told: told[0]):
            self._look(runs[key], [told[1:] for told in rows], mine)

    def _look(self, run: ImportRun, rows: Sequence[tuple[int, str, list[str]]], mine: Counter[int]) -> None:
        there = Counter(int(digest[:SHORT], 16) for _, digest, _ in rows)
        same = (there & mine).total()
        if not same or same * 2 < min(there.total(), mine.total()):
            return
        keys, claimed = column_keys(run.heading, len(run.columns)), Counter[int]()
        for row, digest, cells in rows:
            short = int(digest[:SHORT], 16)
            claimed[short] += 1
            if claimed[short] > mine[short]:  # no equal row of this list stands for it
                kept = _Kept(run.pk, row, dict(zip(keys, line_of(0, cells).cells, strict=False)))
                self.left[self._named(kept.cells)].append(kept)

    def _named(self, cells: dict[str, str]) -> str:
        return " ".join(filter(None, (fold_cell(cells.get(key, "")) for key in self.naming)))

    def match(self, cells: Sequence[str]) -> Changed | None:
        """The row before that this one may correct."""
        told = dict(zip(self.keys, cells, strict=False))
        if not self.left or not (named := self._named(told)):
            return None
        pairs = ((_differing(kept.cells, told), kept) for kept in self.left.get(named, ()))
        near = [(differing, kept) for differing, kept in pairs if set(differing) - self.tested]  # readings: ``before``
        if not near:
            return None
        differing, kept = min(near, key=lambda one: (len(one[0]), one[1].run, one[1].row))
        self.left[named].remove(kept)
        what = "; ".join(f"{key}: {_shown(kept.cells.get(key))} -> {_shown(told.get(key))}" for key in differing)
        return Changed(kept.run, kept.row, what[:200])


def _differing(before: dict[str, str], now: dict[str, str]) -> list[str]:
    """The headings under which two rows say different things, where they are few; else none."""
    keys = list(dict.fromkeys([*now, *before]))
    pairs = {key: (fold_cell(before.get(key, "")), fold_cell(now.get(key, ""))) for key in keys}
    differing = [key for key, (one, other) in pairs.items() if one != other]
    same = sum(1 for one, other in pairs.values() if one and one == other)
    return differing if len(differing) <= MOST_CHANGED and same >= LEAST_SAME else []


def _shown(cell: str | None) -> str:
    return " ".join(plain_cell(cell or "").split())[:40] or "empty"
