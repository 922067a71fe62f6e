"""Lists of weak parts of set models: read row by row, looked through for what is there already, written in one go."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import islice
from typing import IO, Any

from django.db import transaction

from inventory.holdings.actions.parts import kind_of_words
from inventory.holdings.rules.cells import row_text
from inventory.lists.actions.files import open_table
from inventory.lists.actions.read import without_blank_end
from inventory.lists.rules.records import FileRefused, Line
from inventory.restoration.actions import save_weak_part, save_weak_said
from inventory.restoration.models import WeakPart, WeakSaid
from inventory.restoration.rules.weak_entry import COLUMNS, NEEDED, WeakEntry, WeakFault, read_weak_entry
from inventory.sets.models import SetModel

ROW = "row"  # the column of a fault that is of the whole row
MOST_ROWS = 5_000
LOOKED_FOR = 30  # filled rows among which the heading is looked for
Key = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WeakRow:
    """A row of the list: its line in the file, what it says, or why it is not taken. ``remarks``: of one that is taken,
    what of it is not written and why.
    """

    line: int
    entry: WeakEntry | None = None
    faults: tuple[WeakFault, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def taken(self) -> bool:
        return self.entry is not None and not self.faults


@dataclass(frozen=True)
class WeakList:
    """A list that was read. ``notes``: of how; ``parts``, ``words``: how many were written; ``kinds``: of how many
    parts their words state the kind in full.
    """

    rows: tuple[WeakRow, ...]
    notes: tuple[str, ...] = ()
    parts: int = field(default=0, compare=False)
    words: int = field(default=0, compare=False)
    kinds: int = field(default=0, compare=False)

    @property
    def taken(self) -> list[WeakRow]:
        return [row for row in self.rows if row.taken]

    @property
    def refused(self) -> list[WeakRow]:
        return [row for row in self.rows if row.faults]

    def as_dict(self) -> dict[str, Any]:
        """The contract of ``manage.py import_weak_parts``."""
        return {
            "rows": len(self.rows), "taken": len(self.taken), "parts_written": self.parts, "words_written": self.words,
            "kinds_read": self.kinds,
            "refused": [
                {"line": row.line, "column": one.column, "found": one.found, "reason": one.reason}
                for row in self.refused
                for one in row.faults
            ],
            "remarks": [{"line": row.line, "remark": one} for row in self.taken for one in row.remarks],
            "notes": list(self.notes),
        }  # fmt: skip


def read_weak_list(
    file: IO[bytes], name: str, *, today: date, order: str | None = None, sheet: str = ""
) -> WeakList:  # fmt: skip
    """Read a list and look through it for what is there already; nothing is written. Raises FileRefused."""
    table = open_table(file, name, sheet)
    lines = (line for line in without_blank_end(table) if line.spoilt or any(map(str.strip, line.cells)))
    at = _heading(lines)
    found = list(islice(lines, MOST_ROWS + 1))
    if len(found) > MOST_ROWS:
        raise FileRefused(f"The list has more than {MOST_ROWS} rows; take it in by parts.")
    if not found:
        raise FileRefused("No row stands below the heading.")
    rows = _looked_through([_row(line, at, today, order) for line in found])
    return WeakList(rows, tuple(table.notes))


def _heading(lines: Iterator[Line]) -> dict[str, int]:
    """Where each column stands."""
    for _, line in zip(range(LOOKED_FOR), lines, strict=False):
        names = [" ".join(cell.casefold().replace("_", " ").split()) for cell in line.cells]
        at = {name: place for place, name in reversed(list(enumerate(names))) if name in COLUMNS}
        if set(NEEDED) <= at.keys():
            return at
    raise FileRefused(f"No heading with {', '.join(NEEDED)} was found; the columns are {','.join(COLUMNS)}.")


def _row(line: Line, at: dict[str, int], today: date, order: str | None) -> WeakRow:
    if line.spoilt:
        return WeakRow(line.number, faults=(WeakFault(ROW, row_text(line.cells)[:200], line.fault),))
    cells = {column: line.cells[place] if place < len(line.cells) else "" for column, place in at.items()}
    read = read_weak_entry(cells, today, order)
    return WeakRow(line.number, faults=read) if isinstance(read, tuple) else WeakRow(line.number, read)


REGISTER = "the register"
STANDS = "that stands, and this is not written"


@dataclass(frozen=True, slots=True)
class _There:
    """A part that is there already: in the register or further up in the file, and what is said of it there."""

    where: str
    quantity: int
    why: str
    source: str

    def differing(self, entry: WeakEntry) -> list[str]:
        """What a row says otherwise of the part, each in a sentence. An empty cell says nothing."""
        cells = (
            ("quantity", entry.quantity, self.quantity), ("goes wrong", entry.why, self.why),
            ("on whose word", entry.source_of_part, self.source),
        )  # fmt: skip
        return [
            f"{column} {told!r} here, {repr(there) if there else 'nothing'} in {self.where}: {STANDS}"
            for column, told, there in cells
            if told and _folded(told) != _folded(there)
        ]


def _looked_through(rows: Sequence[WeakRow]) -> tuple[WeakRow, ...]:
    """The rows with what speaks against each: no such set model, there already, or further up in the file."""
    models = _Models(SetModel.objects.values_list("name", flat=True))
    there = {
        _part_key(part.set_model.name, part.mark, part.words): _There(REGISTER, part.quantity, part.why, part.source)
        for part in reversed(_parts())
    }
    words = [
        (_word_key(row.weak.set_model.name, row.weak.mark, row.weak.words, row.as_word), row.struck)
        for row in WeakSaid.objects.select_related("weak__set_model").order_by("pk")
    ]
    said = {key: REGISTER for key, struck in words if not struck}
    gone = {key: struck for key, struck in words if struck and key not in said}
    found = []
    for row in rows:
        entry = row.entry
        if entry is None:
            found.append(row)
            continue
        named = models.named(entry.set_model)
        if isinstance(named, WeakFault):
            found.append(replace(row, faults=(named,)))
            continue
        entry = replace(entry, set_model=named)
        row = replace(row, entry=entry)
        key = _part_key(named, entry.mark, entry.part)
        whole = _word_key(named, entry.mark, entry.part, entry) if entry.word else key
        part = there.get(key)
        differing = part.differing(entry) if part else []
        before = said.get(whole) if entry.word else part and part.where
        if before:
            told = "; ".join((f"there already, in {before}", *differing))
            found.append(replace(row, faults=(WeakFault(ROW, entry.part, told),)))
            continue
        if whole in gone:
            differing.append(f"that word was struck out in the register ({gone[whole]}); it is written anew")
        line = f"line {row.line} of this file"
        there.setdefault(key, _There(line, entry.quantity or 1, entry.why, entry.source_of_part))
        if entry.word:
            said[whole] = line
        found.append(replace(row, remarks=tuple(differing)))
    return tuple(found)


class _Models:
    """Set models by name: as written, else whatever its letters, where that is one."""

    def __init__(self, names: Iterable[str]) -> None:
        self._alike: dict[str, list[str]] = defaultdict(list)
        for name in sorted(names):
            self._alike[name.casefold()].append(name)

    def named(self, text: str) -> str | WeakFault:
        """The name of the set model that is meant, or why none can be told."""
        alike = self._alike.get(text.casefold(), [])
        if text in alike or len(alike) == 1:
            return text if text in alike else alike[0]
        told = f"it can be {', '.join(map(repr, alike))}: write the one that is meant, in its own letters"
        return WeakFault("set model", text, told if alike else "no set model of that name is here; add it first")


def _parts() -> list[WeakPart]:
    return list(WeakPart.objects.select_related("set_model").order_by("pk"))


def _folded(text: object) -> str:
    return " ".join(str(text).casefold().split())


def _part_key(model: str, mark: str, words: str) -> Key:
    return (model, _folded(mark), _folded(words))


def _word_key(model: str, mark: str, words: str, said: Any) -> Key:
    """Of a word on a part: by part, verdict, source, page and day. What else it says may be worded otherwise."""
    verdict = said.word if isinstance(said, WeakEntry) else said.verdict
    return (*_part_key(model, mark, words), verdict, said.source.casefold(), said.page.casefold(), str(said.on or ""))


@transaction.atomic
def take_in_weak_list(
    file: IO[bytes], name: str, *, today: date, by: Any, order: str | None = None, sheet: str = ""
) -> WeakList:
    """Read a list and write the rows that can be taken, all or none. Raises FileRefused for what is no such list."""
    models = {row.name: row for row in SetModel.objects.select_for_update(no_key=True).order_by("pk")}
    found = read_weak_list(file, name, today=today, order=order, sheet=sheet)
    parts = {_part_key(part.set_model.name, part.mark, part.words): part for part in reversed(_parts())}
    made, words, kinds, reason = 0, 0, 0, f"list {name}"
    for row in found.taken:
        entry = row.entry
        assert entry is not None
        key = _part_key(entry.set_model, entry.mark, entry.part)
        if key not in parts:
            part = WeakPart(
                set_model=models[entry.set_model], mark=entry.mark, words=entry.part,
                quantity=entry.quantity or 1, why=entry.why, source=entry.source_of_part,
                type=kind_of_words(entry.part, by=by),
            )  # fmt: skip
            kinds += part.type is not None
            parts[key], made = save_weak_part(part, by=by, reason=reason), made + 1
        if entry.word:
            said = WeakSaid(
                weak=parts[key], verdict=entry.word, source=entry.source, page=entry.page, on=entry.on, words=entry.says
            )
            save_weak_said(said, today=today, by=by, reason=reason)
            words += 1
    return replace(found, parts=made, words=words, kinds=kinds)
