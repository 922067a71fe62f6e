"""A list of this program that comes back edited: what was changed in it is written, row by row, and nothing else.

Each row bears the stamp of what it said when it went out (``rules.stamps``). A cell that was left alone changes
nothing, whatever happened here meanwhile; a cell changed on both sides is held; a row that is missing is missing, no
more. Rows without a tag are new and go the way of every list that comes in. A trial does the same and takes it back.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import islice
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.holdings.actions import move
from inventory.holdings.actions.locking import locked_all
from inventory.holdings.actions.together import check_carried_off
from inventory.holdings.models import Item, Place
from inventory.house.concerns import minded_when_carried
from inventory.lists.actions.came_back import AT_ONCE, Cell, Laid, Outcome, tag_in
from inventory.lists.actions.edited import EDITED, ELSEWHERE, OTHERWISE, PLACE, Edited, write_cells
from inventory.lists.actions.places import Places
from inventory.lists.queries.out import LISTS, TAG, cells_of
from inventory.lists.rules.changed_cells import ALONE, BOTH, REWRITTEN, what_became_of
from inventory.lists.rules.records import Line
from inventory.lists.rules.rewriting import plain, was_cut
from inventory.lists.rules.stamps import STAMP, Stamp, read_stamp

UNTOUCHED, WRITTEN_OVER, KEPT_OUT = "untouched", "changed", "not written"  # outcomes of a row
_A_DAY = "the spreadsheet holds a date here, the original cannot be told; write it again with the column set to text"
_CUT = "the cell was cut short when it went out; change it on the page of the thing"
_MEANWHILE = "it was changed here after the list went out"


@dataclass
class _Thing:
    """A thing of the register that a row names, with what of the row is to be written."""

    row: int
    line: Line
    tag: str
    stamp: Stamp | None
    cells: dict[str, str]
    edits: dict[str, str] = field(default_factory=dict)


def in_figures(cell: object) -> str:
    """A cell of a list out as text: 400 for 400.0."""
    if isinstance(cell, float) and float(short := f"{cell:.15g}") == cell:
        return short
    return str(cell)


class _Held(Exception):
    """A row that is not written, with why."""

    def __init__(self, tag: str, why: str) -> None:
        super().__init__(why)
        self.tag = tag


class Changes:
    """Brings one list back. Within a transaction of the caller's."""

    def __init__(self, laid: Laid, *, by: Any, today: date, reason: str, why: str = "") -> None:
        self.laid, self.by, self.today, self.reason, self.why = laid, by, today, reason, why
        self.kind: Edited = EDITED[laid.name]
        self.list = LISTS[laid.name]
        self.found = Outcome()
        self.places = Places.load()
        self.first: dict[str, int] = {}
        self.refused: set[tuple[int, str]] = set()  # cells that are told and not written: row, heading
        self.figures: set[str] = set()  # headings of columns that hold numbers: 400.0 for 400 is worth no word
        self.known_headings = set(self.list.headings)

    def bring_back(self) -> Iterator[tuple[int, Line]]:
        """Write what was changed; gives the rows that are new, one by one."""
        lines = iter(self.laid.lines)
        while batch := list(islice(lines, AT_ONCE)):
            yield from self._batch(batch)
        if odd := sorted(set(filter(None, self.laid.headings)) - self.known_headings - {STAMP}):
            self.found.notes.append(f"Not columns of this list, read of new rows alone: {', '.join(odd)[:300]}.")
        if self.found.unstamped:
            self.found.notes.append(
                f"{self.found.unstamped} rows do not say what they were when they went out (the column {STAMP}): what "
                "was changed here since cannot be told of them and would be written over."
            )

    # --- one batch ---------------------------------------------------------------------------------------------------

    def _batch(self, batch: Sequence[tuple[int, Line]]) -> Iterator[tuple[int, Line]]:
        told = [(number, line, self.laid.cells(line)) for number, line in batch]
        stamps = [read_stamp(cells.get(STAMP, "")) for _, _, cells in told]
        tags = {tag_in(cells) for _, _, cells in told} | {stamp.tag for stamp in stamps if stamp}
        kinds = dict(Item.objects.filter(tag__in=tags - {""}).values_list("tag", "kind"))
        now = self._now(tags)
        things = []
        for (number, line, cells), stamp in zip(told, stamps, strict=True):
            try:
                thing = self._thing(number, line, cells, stamp, kinds, now)
            except _Held as held:
                self._row(number, line, KEPT_OUT)
                self.found.held.append(Cell(number, held.tag, "row", "", "", str(held)))
                continue
            if thing.tag:
                things.append(thing)
            else:
                yield number, line
        changed = []
        for thing in things:
            if self._look(thing, now[thing.tag], say=False) or (thing.row, TAG) in self.refused:
                changed.append(thing)
            else:
                self._look(thing, now[thing.tag], say=True)
                self.found.untouched += 1
        if changed:
            self._write(changed)

    def _now(self, tags: Iterable[str]) -> dict[str, dict[str, str]]:
        """The rows of things as the list out would say them now, by their tags."""
        found = self.list.every().filter(item__tag__in=[tag for tag in tags if tag])
        now = {}
        for row in cells_of(self.list, found):
            told = dict(zip(self.list.headings, map(in_figures, row), strict=True))
            self.figures |= {
                head for head, cell in zip(self.list.headings, row, strict=True) if not isinstance(cell, str)
            }
            now[told[TAG]] = told
        return now

    def _thing(
        self, number: int, line: Line, cells: dict[str, str], stamp: Stamp | None, kinds: Mapping[str, str],
        now: Mapping[str, Any],
    ) -> _Thing:  # fmt: skip
        """The thing that a row is of; without a tag where it is new. Raises _Held."""
        tag = tag_in(cells)
        if line.spoilt:
            raise _Held(tag, line.fault or "this line of the file cannot be read")
        if cells.get(STAMP, "").strip() and stamp is None:
            raise _Held(tag, f"its {STAMP} was changed; take the list out again")
        if not tag:
            return _Thing(number, line, "", None, cells)
        if stamp and stamp.tag != tag:
            if tag in kinds:
                told = f"the tag says {tag}, its {STAMP} says {stamp.tag}: some columns were sorted without the others"
                raise _Held(tag, told)
            if self.laid.tags[stamp.tag]:  # a row copied to make a new one
                return _Thing(number, line, "", None, cells)
            told = f"{ELSEWHERE[TAG]}; for a new thing leave {STAMP} empty"
            self.found.read_only.append(Cell(number, stamp.tag, TAG, stamp.tag, tag, told))
            self.refused.add((number, TAG))
            tag = stamp.tag
        first = self.first.setdefault(tag, number)
        if first != number:
            raise _Held(tag, f"{tag} stands on row {first} too; clear the tag of a row that is a new thing")
        if tag in now:
            return _Thing(number, line, tag, stamp, cells)
        if tag in kinds:
            raise _Held(tag, f"{tag} is in the register and stands in another list")
        if stamp:
            raise _Held(tag, f"{tag} is not in the register any more; it was taken back since")
        return _Thing(number, line, "", None, cells)

    def _row(self, number: int, line: Line, outcome: str) -> None:
        self.found.rows[number] = {"line": line, "outcome": outcome}

    # --- what was changed --------------------------------------------------------------------------------------------

    def _look(self, thing: _Thing, now: Mapping[str, str], *, say: bool) -> bool:
        """Whether anything was changed in a row; what is to be written goes into ``thing.edits``, the rest is told."""
        thing.edits, any_changed = {}, False
        for heading, cell in thing.cells.items():
            if heading not in now or heading == TAG:
                continue
            if thing.stamp is None and not cell.strip():  # typed in or cut short: what it leaves out it does not clear
                continue
            became = what_became_of(heading, cell, now[heading], thing.stamp)
            if became in (ALONE, REWRITTEN):
                if say and became == REWRITTEN and heading not in self.figures:
                    self._tell(self.found.rewritten, thing, heading, now)
                continue
            any_changed = True
            if say:
                self._sort_out(thing, heading, now, became)
        return any_changed

    def _sort_out(self, thing: _Thing, heading: str, now: Mapping[str, str], became: str) -> None:
        at = self.laid.headings.index(heading)
        if heading not in self.kind.headings:
            self._tell(self.found.read_only, thing, heading, now, ELSEWHERE.get(heading, OTHERWISE))
        elif became == BOTH:
            self._tell(self.found.conflicts, thing, heading, now, _MEANWHILE)
        elif now.get("Left on"):
            self._tell(self.found.held, thing, heading, now, f"it left the collection on {now['Left on']}")
        elif was_cut(thing.cells[heading]) or was_cut(now[heading]):
            self._tell(self.found.held, thing, heading, now, _CUT)
        elif at in thing.line.dated and heading != "Acquired on":
            self._tell(self.found.held, thing, heading, now, _A_DAY)
        else:
            thing.edits[heading] = plain(thing.cells[heading])

    def _tell(self, where: list[Cell], thing: _Thing, heading: str, now: Mapping[str, str], reason: str = "") -> None:
        old, new = plain(now[heading]), plain(thing.cells[heading])
        where.append(Cell(thing.row, thing.tag, heading, old, new, reason))
        if reason:
            self.refused.add((thing.row, heading))

    # --- writing -----------------------------------------------------------------------------------------------------

    def _write(self, things: Sequence[_Thing]) -> None:
        """Lock the things, look once more, and write: first what they are, then where they lie."""
        tags = {thing.tag: thing for thing in things}
        locked_all(Item.objects.filter(tag__in=tags))
        rows = self.kind.model._base_manager.filter(item__tag__in=tags).order_by("pk")
        list(rows.select_for_update(of=("self",), no_key=True).values_list("pk"))
        named = rows.select_related("item__place")
        by_tag = {row.item.tag: row for row in named}
        before = self._now(tags)
        for thing in things:
            self._look(thing, before[thing.tag], say=True)
            if thing.stamp is None:
                self.found.unstamped += 1
            cells = {heading: cell for heading, cell in thing.edits.items() if heading != PLACE}
            done = write_cells(
                self.kind, by_tag[thing.tag], before[thing.tag], cells, by=self.by, reason=self._reason()
            )
            for heading, why in done.held.items():
                self._tell(self.found.held, thing, heading, before[thing.tag], why)
            if done.told:
                self.found.notes.append(f"{thing.tag}: {done.told}")
        self._move(things, by_tag, before)
        self._compare(things, before)

    def _reason(self) -> str:
        """Why, as every history row of this list says it: a take-back finds them by it."""
        return f"{self.reason}: {self.why}" if self.why else self.reason

    def _move(self, things: Sequence[_Thing], by_tag: Mapping[str, Any], before: Mapping[str, Any]) -> None:
        going: dict[str, list[_Thing]] = defaultdict(list)
        for thing in things:
            if PLACE in thing.edits:
                going[thing.edits[PLACE]].append(thing)
        for text, some in going.items():
            place, why = self._place(text)
            for group in [some] if not why else []:
                items = [by_tag[thing.tag].item for thing in group]
                told = self._moved(items, place)
                for thing in group if told else []:
                    told = self._moved([by_tag[thing.tag].item], place) if len(group) > 1 else told
                    if told:
                        self._tell(self.found.held, thing, PLACE, before[thing.tag], told)
            for thing in some if why else []:
                self._tell(self.found.held, thing, PLACE, before[thing.tag], why)

    def _place(self, text: str) -> tuple[Place | None, str]:
        if not text:
            return None, ""
        spot, why, _new = self.places.find(text)
        if spot is None or spot.pk is None:
            return None, why or f"there is no place {text}; add it first, or write the path of one that is here"
        return Place.objects.get(pk=spot.pk), ""

    def _moved(self, items: list[Item], place: Place | None) -> str:
        """Move things together; why not."""
        try:
            with transaction.atomic():
                check_carried_off(items, place.path if place else "", self.why)
                if told := minded_when_carried(items):
                    self.found.notes.append(told)
                move(items, place, on=self.today, by=self.by, reason=self._reason(), apart=self.why)
        except ValidationError as refusal:
            return " ".join(refusal.messages)
        return ""

    def _compare(self, things: Sequence[_Thing], before: Mapping[str, Mapping[str, str]]) -> None:
        """What the register says now that it did not say before: the changes, and what followed from them."""
        after = self._now(thing.tag for thing in things)
        for thing in things:
            written = False
            for heading, old in before[thing.tag].items():
                new = after[thing.tag][heading]
                if old == new:
                    continue
                written = True
                edited = heading in thing.edits and (thing.row, heading) not in self.refused
                where = self.found.changed if edited else self.found.besides
                where.append(Cell(thing.row, thing.tag, heading, plain(old), plain(new)))
            stays = any((thing.row, heading) in self.refused for heading in thing.cells)
            if not written and not stays:  # another writing of what the register says already
                self.found.untouched += 1
                continue
            self._row(thing.row, thing.line, WRITTEN_OVER if written else KEPT_OUT)
