"""Rows of a list read once more, as on the day it came in, and settled with the keeper's answers."""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Q

from inventory.holdings.actions import free_tags
from inventory.holdings.rules.cells import says_ditto
from inventory.lists.actions.before import known_before
from inventory.lists.actions.own_rows import with_marked_type
from inventory.lists.actions.read import Reader, ReadRow, options_of, reader
from inventory.lists.actions.settle import Settled, Settler
from inventory.lists.actions.take_in import settler_for
from inventory.lists.models import ImportRow, ImportRun
from inventory.lists.queries.runs import TAGGED
from inventory.lists.rules.columns import in_order, plain_cells
from inventory.lists.rules.records import line_of
from inventory.lists.rules.rows import NOT_AN_ITEM, REFUSED
from inventory.lists.rules.same_rows import core_digest, row_digest
from tubes.queries import knowledge

LOOKED_BACK = 200  # rows above in which the place is looked for that ditto marks mean
WINDOWS = 50  # stretches of a list that one query looks through


class Again:
    """Reads rows of a written list again as on the day it came in, and settles them with the keeper's answers."""

    def __init__(self, run: ImportRun, today: date) -> None:
        self.run, self.came_back, self.known = run, run.came_back, knowledge()
        known = self.known
        self.mapping = list(in_order(run.heading, run.columns).values())
        self.reads: Reader = reader(known, today, run.heading, self.mapping, options_of(run.options))
        self.settler: Settler = settler_for(known, run.heading, self.mapping)

    def settle(self, row: ImportRow, answers: dict[str, str], count: int | None = None) -> Settled:
        """What becomes of a row of a written list. Whether it is here already was asked, and is not asked again."""
        ((_, settled),) = self.settle_all([(row, answers)], count)
        return settled

    def settle_all(
        self, answered: Sequence[tuple[ImportRow, dict[str, str]]], count: int | None = None, *, trial: bool = False
    ) -> list[tuple[ImportRow, Settled]]:
        """What becomes of each of some rows with their answers; whether their tags are free is asked once.

        ``trial``: all that is known of a row that waits is asked, as when its list is written.
        """
        above = self._places_above([row for row, _ in answered])
        reads = [self._read(row, count, above.get(row.pk, "")) for row, _ in answered]
        tags = [_own_tag(read, answers) for read, (_, answers) in zip(reads, answered, strict=True)]
        free = free_tags(filter(None, tags))
        settled = []
        for read, tag, (row, answers) in zip(reads, tags, answered, strict=True):
            keys = self.settler.keys
            core = core_digest(keys, self.mapping, read.cells)
            kept = row.question.get("before", {}) if trial else {}
            digest = row_digest(keys, read.cells)
            before = known_before(kept, digest=digest, core=core, tag=tag if tag in free else "")
            settled.append((row, self.settler.settle(read, before, answers)))
        return settled

    def _read(self, row: ImportRow, count: int | None, above: str) -> ReadRow:
        """The row with another count where one is given; ``above``: the place that its ditto marks mean."""
        line = line_of(row.line, row.cells)
        plain = replace(line, fault="", spoilt=False, dated=frozenset())  # the keeper has seen what was wrong with it
        if self.came_back:  # read as it was when it came back
            plain = with_marked_type(plain, self.run.heading, self.came_back, self.known)
        return ReadRow(row.row, line, self.reads.read(plain, count, above))

    def _places_above(self, rows: Sequence[ImportRow]) -> dict[int, str]:
        """The places of the rows above, by the keys of those rows whose own place is a ditto mark.

        One query for each ``WINDOWS`` stretches of the list that are looked through.
        """
        ditto = [row for row in rows if says_ditto(self.reads.place_cell(row.plain_cells))]
        kept: dict[int, str] = {}
        for some in _parts(_stretches(row.row for row in ditto), WINDOWS):
            asked = reduce(or_, (Q(row__gte=first, row__lt=end) for first, end in some))
            found = self.run.rows.filter(asked).exclude(outcome__in=(REFUSED, NOT_AN_ITEM))
            for number, cells in found.values_list("row", "cells"):
                if not says_ditto(cell := self.reads.place_cell(plain_cells(cells)).strip()):
                    kept[number] = cell
        numbers = sorted(kept)
        told = {}
        for row in ditto:
            at = bisect_left(numbers, row.row)
            if at and numbers[at - 1] >= row.row - LOOKED_BACK:
                told[row.pk] = kept[numbers[at - 1]]
        return told


def _stretches(rows: Iterable[int]) -> list[tuple[int, int]]:
    """The stretches of a list above some of its rows, (first, behind the last), those that touch as one."""
    found: list[tuple[int, int]] = []
    for row in sorted(rows):
        first = max(0, row - LOOKED_BACK)
        if found and first <= found[-1][1]:
            found[-1] = (found[-1][0], row)
        else:
            found.append((first, row))
    return found


def _parts(some: Sequence[Any], size: int) -> Iterator[Sequence[Any]]:
    yield from (some[at : at + size] for at in range(0, len(some), size))


def _own_tag(read: ReadRow, answers: dict[str, str]) -> str:
    """The tag that a row of our own list brings along, unless the keeper gave it to another thing."""
    return read.reading.number.strip().upper() if read.reading.own and answers.get(TAGGED) != "another" else ""
