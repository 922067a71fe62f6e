"""A list of this program that comes back edited: what was changed in it is written, row by row, and nothing else.

Each row bears the stamp of what it said when it went out (``rules.stamps``). A cell that was left alone changes
nothing, whatever happened here meanwhile; a cell changed on both sides is held; a row that is missing is missing, no
more. Rows without a tag are new and go the way of every list that comes in. A trial does the same and takes it back.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import islice
from typing import Any

from inventory.holdings.actions.locking import locked_all
from inventory.holdings.models import Item
from inventory.lists.actions.came_back import (
    AT_ONCE,
    HERE,
    LISTED,
    Answers,
    Cell,
    Held,
    Laid,
    Outcome,
    Thing,
    in_figures,
    tag_in,
)
from inventory.lists.actions.edited import EDITED, ELSEWHERE, OTHERWISE, PLACE, Edited, write_cells
from inventory.lists.actions.edited_facts import NUMBER, Renumbering
from inventory.lists.actions.moves import Moves
from inventory.lists.actions.places import Places
from inventory.lists.queries.out import LISTS, TAG, cells_of
from inventory.lists.rules.changed_cells import ALONE, BOTH, REWRITTEN, WentOut, what_became_of
from inventory.lists.rules.records import Line
from inventory.lists.rules.rewriting import plain, was_cut
from inventory.lists.rules.stamps import STAMP, Stamp, read_stamp

UNTOUCHED, WRITTEN_OVER, KEPT_OUT = "untouched", "changed", "not written"  # outcomes of a row
_A_DAY = "the spreadsheet holds a date here, the original cannot be told; write it again with the column set to text"
_CUT = "the cell was cut short when it went out; change it on the page of the thing"
_MEANWHILE = "it was changed here after the list went out"
_NOT_OUT = "the column did not go out with this list, and something stands here"
_CLEARED = "a tag stays; for a new thing clear what stands under " + STAMP + " too"
KEPT = "it was changed here too, and stays as it is here"
_MOVED = ("Place", "Last seen", "Not found on")  # what a move changes of a row
NAMED = 5  # things that a note names


class Changes:
    """Brings one list back. Within a transaction of the caller's.

    ``answers``: to cells that were changed on both sides. ``alone``: those cells are looked at, and no others.
    """

    def __init__(
        self, laid: Laid, *, by: Any, today: date, reason: str, why: str = "", answers: Answers | None = None,
        alone: bool = False,
    ) -> None:  # fmt: skip
        self.laid, self.by, self.today, self.reason, self.why = laid, by, today, reason, why
        self.answers, self.alone = answers or {}, alone
        self.kind: Edited = EDITED[laid.name]
        self.list = LISTS[laid.name]
        self.found = Outcome()
        self.places = Places.load()
        self.first: dict[str, int] = {}
        self.refused: set[tuple[int, str]] = set()  # cells that are told and not written: row, heading
        self.figures: set[str] = set()  # headings of columns that hold numbers: 400.0 for 400 is worth no word
        self.known_headings = set(self.list.headings)
        self.went_out = WentOut()
        self.going: dict[str, list[Thing]] = defaultdict(list)  # by the cell that names where they go
        self.numbers = Renumbering(by=by, today=today, reason=self._reason())
        self.waiting: dict[int, Thing] = {}  # by row: those that move or are numbered once all is read
        self.told: dict[str, list[str]] = defaultdict(list)  # tags, by what is said of each

    def bring_back(self) -> Iterator[tuple[int, Line]]:
        """Write what was changed; gives the rows that are new, one by one."""
        lines = iter(self.laid.lines)
        while batch := list(islice(lines, AT_ONCE)):
            yield from self._batch(batch)
        self._number()
        self._move()
        waiting = list(self.waiting.values())
        for at in range(0, len(waiting), AT_ONCE):
            self._compare_late(waiting[at : at + AT_ONCE])
        for where in (self.found.changed, self.found.besides):
            where.sort(key=lambda one: (one.row, self.list.headings.index(one.column)))
        for words, tags in self.told.items():
            more = f" and {len(tags) - NAMED} more" if len(tags) > NAMED else ""
            self.found.notes.append(f"{', '.join(tags[:NAMED])}{more}: {words}")
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
            except Held as held:
                self._row(number, line, KEPT_OUT)
                self.found.held.append(Cell(number, held.tag, "row", "", "", str(held)))
                continue
            if thing.tag:
                things.append(thing)
            else:
                yield number, line
        for thing in things:
            if thing.stamp:
                self.went_out.look(thing.cells, now[thing.tag], thing.stamp)
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
    ) -> Thing:  # fmt: skip
        """The thing that a row is of; without a tag where it is new. Raises Held."""
        tag = tag_in(cells)
        if line.spoilt:
            raise Held(tag, line.fault or "this line of the file cannot be read")
        if cells.get(STAMP, "").strip() and stamp is None:
            raise Held(tag, f"its {STAMP} was changed; take the list out again")
        if not tag and stamp and not self.laid.tags[stamp.tag]:  # the row of the thing, its tag cleared: no copy of one
            self.found.read_only.append(Cell(number, stamp.tag, TAG, stamp.tag, "", _CLEARED))
            self.refused.add((number, TAG))
            tag = stamp.tag
        if not tag:
            return Thing(number, line, "", None, cells)
        if stamp is None and self.laid.stamped and tag in kinds:
            told = f"its {STAMP} is empty while other rows have theirs; change {tag} on its page, or take it out again"
            raise Held(tag, told)
        if stamp and stamp.tag != tag:
            if tag in kinds:
                told = f"the tag says {tag}, its {STAMP} says {stamp.tag}: some columns were sorted without the others"
                raise Held(tag, told)
            if self.laid.tags[stamp.tag]:  # a row copied to make a new one
                return Thing(number, line, "", None, cells)
            told = f"{ELSEWHERE[TAG]}; for a new thing leave {STAMP} empty"
            self.found.read_only.append(Cell(number, stamp.tag, TAG, stamp.tag, tag, told))
            self.refused.add((number, TAG))
            tag = stamp.tag
        first = self.first.setdefault(tag, number)
        if first != number:
            raise Held(tag, f"{tag} stands on row {first} too; clear the tag and {STAMP} of a row that is a new thing")
        if tag in now:
            return Thing(number, line, tag, stamp, cells)
        if tag in kinds:
            raise Held(tag, f"{tag} is in the register and stands in another list")
        if stamp:
            raise Held(tag, f"{tag} is not in the register any more; it was taken back since")
        return Thing(number, line, "", None, cells)

    def _row(self, number: int, line: Line, outcome: str) -> None:
        self.found.rows[number] = {"line": line, "outcome": outcome}

    # --- what was changed --------------------------------------------------------------------------------------------

    def _look(self, thing: Thing, now: Mapping[str, str], *, say: bool) -> bool:
        """Whether anything was changed in a row; what is to be written goes into ``thing.edits``, the rest is told."""
        thing.edits, any_changed = {}, False
        for heading, cell in thing.cells.items():
            if heading not in now or heading == TAG or (self.alone and heading not in self.answers[thing.row]):
                continue
            if thing.stamp is None and not cell.strip():  # typed in or cut short: what it leaves out it does not clear
                continue
            out = self.went_out.has(heading, thing.stamp)
            became = what_became_of(heading, cell, now[heading], thing.stamp, out=out)
            if became in (ALONE, REWRITTEN):
                if say and became == REWRITTEN and heading not in self.figures:
                    self._tell(self.found.rewritten, thing, heading, now)
                continue
            any_changed = True
            if say:
                self._sort_out(thing, heading, now, became)
        return any_changed

    def _sort_out(self, thing: Thing, heading: str, now: Mapping[str, str], became: str) -> None:
        at = self.laid.headings.index(heading)
        if heading not in self.kind.headings:
            self._tell(self.found.read_only, thing, heading, now, ELSEWHERE.get(heading, OTHERWISE))
        elif became == BOTH and (answer := self._answer(thing, heading, now)) == HERE:
            self._tell(self.found.kept, thing, heading, now, KEPT)
        elif became == BOTH and answer != LISTED:
            out = self.went_out.has(heading, thing.stamp)
            self._tell(self.found.conflicts, thing, heading, now, _MEANWHILE if out else _NOT_OUT)
        elif now.get("Left on"):
            self._tell(self.found.held, thing, heading, now, f"it left the collection on {now['Left on']}")
        elif was_cut(thing.cells[heading]) or was_cut(now[heading]):
            self._tell(self.found.held, thing, heading, now, _CUT)
        elif at in thing.line.dated and heading != "Acquired on":
            self._tell(self.found.held, thing, heading, now, _A_DAY)
        else:
            thing.edits[heading] = plain(thing.cells[heading])

    def _answer(self, thing: Thing, heading: str, now: Mapping[str, str]) -> str:
        """What is done with a cell that was changed on both sides; empty where nobody said, or of another text here."""
        answer, here = self.answers.get(thing.row, {}).get(heading, ("", ""))
        return answer if here == plain(now[heading]) else ""

    def _tell(self, where: list[Cell], thing: Thing, heading: str, now: Mapping[str, str], reason: str = "") -> None:
        old, new = plain(now[heading]), plain(thing.cells[heading])
        where.append(Cell(thing.row, thing.tag, heading, old, new, reason))
        if reason:
            self.refused.add((thing.row, heading))

    # --- writing -----------------------------------------------------------------------------------------------------

    def _write(self, things: Sequence[Thing]) -> None:
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
            done = write_cells(
                self.kind, by_tag[thing.tag], before[thing.tag], thing.edits, by=self.by, reason=self._reason()
            )
            for heading, why in done.held.items():
                self._tell(self.found.held, thing, heading, before[thing.tag], why)
            if done.told:
                self.told[done.told].append(thing.tag)
            thing.key = by_tag[thing.tag].pk
            if PLACE in thing.edits:
                thing.before |= {name: before[thing.tag][name] for name in _MOVED}
                self.going[thing.edits[PLACE]].append(thing)
            if NUMBER in thing.edits:
                thing.before |= {NUMBER: before[thing.tag][NUMBER]}
                self.numbers.add(thing.row, by_tag[thing.tag].item, plain(thing.edits[NUMBER]))
            if thing.before:
                self.waiting[thing.row] = thing
        self._compare(things, before)

    def _reason(self) -> str:
        """Why, as every history row of this list says it: a take-back finds them by it."""
        return f"{self.reason}: {self.why}" if self.why else self.reason

    def _number(self) -> None:
        """Give the keeper's own numbers, once all of the list is read: what one gives up another may get."""
        for row, why in self.numbers.go().items():
            self._tell(self.found.held, self.waiting[row], NUMBER, self.waiting[row].before, why)

    def _move(self) -> None:
        """Move what goes somewhere by the list, once all of it is read: what belongs together may stand anywhere."""
        moves = Moves(self.places, today=self.today, by=self.by, reason=self._reason(), why=self.why)
        for text, some in self.going.items():
            stays = moves.go([thing.key for thing in some], text)
            for thing in some:
                if thing.key in stays:
                    self._tell(self.found.held, thing, PLACE, thing.before, stays[thing.key])
        self.found.notes += dict.fromkeys(moves.notes)

    def _compare(self, things: Sequence[Thing], before: Mapping[str, Mapping[str, str]]) -> None:
        """What the register says now that it did not say before: the changes, and what followed from them."""
        after = self._now(thing.tag for thing in things)
        for thing in things:
            old = {heading: cell for heading, cell in before[thing.tag].items() if heading not in thing.before}
            self._differs(thing, old, after[thing.tag])
            if not thing.before:
                self._sum_up(thing)

    def _compare_late(self, things: Sequence[Thing]) -> None:
        after = self._now(thing.tag for thing in things)
        for thing in things:
            self._differs(thing, thing.before, after[thing.tag])
            self._sum_up(thing)

    def _differs(self, thing: Thing, before: Mapping[str, str], after: Mapping[str, str]) -> None:
        for heading, old in before.items():
            if old == (new := after[heading]):
                continue
            thing.written = True
            edited = heading in thing.edits and (thing.row, heading) not in self.refused
            where = self.found.changed if edited else self.found.besides
            where.append(Cell(thing.row, thing.tag, heading, plain(old), plain(new)))

    def _sum_up(self, thing: Thing) -> None:
        stays = any((thing.row, heading) in self.refused for heading in thing.cells)
        if not thing.written and not stays:  # another writing of what the register says already
            self.found.untouched += 1
            return
        self._row(thing.row, thing.line, WRITTEN_OVER if thing.written else KEPT_OUT)
