"""Lists of price evidence: read row by row, looked through for what is there already, written in one go."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import islice
from typing import IO, Any

from django.db import transaction

from inventory.holdings.rules.cells import row_text
from inventory.lists.actions.files import open_table
from inventory.lists.actions.read import without_blank_end
from inventory.lists.rules.records import FileRefused, Line, with_currencies
from inventory.valuation.actions import row_of, write_rows
from inventory.valuation.queries.duplicates import alike_key, by_key, kept_on, same_key, what_of
from inventory.valuation.queries.money import rates
from inventory.valuation.queries.naming import Named, named_of
from inventory.valuation.rules.entry import COLUMNS, MORE_COLUMNS, NEEDED, Entry, Fault, read_entry
from inventory.valuation.rules.far_off import times_of_others
from inventory.valuation.rules.far_off import told as far_told
from inventory.valuation.rules.figures import decimal_signs
from inventory.valuation.rules.words import GRADES

ROW = "row"  # the column of a fault that is of the whole row
MOST_ROWS = 200_000
LOOKED_FOR = 30  # filled rows among which the heading is looked for


@dataclass(frozen=True, slots=True)
class PriceRow:
    """A row of the list: its line in the file, what it says, or why it is not taken (the first fault, then more).

    ``same``: it is the very same as another, of the file or written before, and stays out; ``alike`` names rows of the
    same day, type, amount and source that differ in something else: it is written, and told. ``far``: how far its
    price lies off the others of the list that are of the same thing, in words.
    """

    line: int
    entry: Entry | None = None
    faults: tuple[Fault, ...] = ()
    of: Named | None = None
    same: bool = False
    alike: str = ""
    far: str = ""

    @property
    def odd(self) -> bool:
        """Whether a keeper should look at it before it is written."""
        return bool(self.far or self.alike or not self.settled or (self.entry and self.entry.remarks))

    @property
    def taken(self) -> bool:
        return self.entry is not None and not self.faults

    @property
    def settled(self) -> bool:
        return self.of is not None


@dataclass(frozen=True)
class PriceList:
    """A list that was read. ``notes``: of how; ``unread``: headings that are no columns of price evidence."""

    rows: tuple[PriceRow, ...]
    notes: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    written: int = field(default=0, compare=False)

    @property
    def taken(self) -> list[PriceRow]:
        return [row for row in self.rows if row.taken]

    @property
    def refused(self) -> list[PriceRow]:
        return [row for row in self.rows if row.faults]

    @property
    def same(self) -> list[PriceRow]:
        return [row for row in self.rows if row.same]

    @property
    def alike(self) -> list[PriceRow]:
        return [row for row in self.taken if row.alike]

    @property
    def unsettled(self) -> list[PriceRow]:
        return [row for row in self.taken if not row.settled]

    def as_dict(self) -> dict[str, Any]:
        """The contract: ``rows``, ``written``, ``refused`` with one entry a row; other keys where there are such."""
        answer: dict[str, Any] = {
            "rows": len(self.rows), "written": self.written, "refused": [_refusal(row) for row in self.refused]
        }  # fmt: skip
        more = {
            "duplicates": [row.line for row in self.same],
            "alike": [{"line": row.line, "of": row.alike} for row in self.alike],
            "unsettled": [
                {"line": row.line, "designation": row.entry.designation} for row in self.unsettled if row.entry
            ],
            "far_off": [{"line": row.line, "text": row.far} for row in self.taken if row.far],
            "remarks": [
                {"line": row.line, "remark": remark} for row in self.taken if row.entry for remark in row.entry.remarks
            ],
            "not_read": list(self.unread),
            "notes": list(self.notes),
        }
        return answer | {key: told for key, told in more.items() if told}


def _refusal(row: PriceRow) -> dict[str, Any]:
    first, *more = ({"column": one.column, "found": one.found, "reason": one.reason} for one in row.faults)
    return {"line": row.line, **first} | ({"also": more} if more else {})


def read_prices(
    file: IO[bytes], name: str, *, today: date, order: str | None = None, sheet: str = "", twice: bool = False
) -> PriceList:  # fmt: skip
    """Read a list and look through it for what is there already; nothing is written.

    ``twice``: the same sale is taken again. Raises FileRefused for what is no such list.
    """
    table = open_table(file, name, sheet)
    lines = (line for line in without_blank_end(table) if line.spoilt or any(map(str.strip, line.cells)))
    at, unread = _heading(lines)
    found = list(islice(lines, MOST_ROWS + 1))
    if len(found) > MOST_ROWS:
        raise FileRefused(f"The list has more than {MOST_ROWS} rows; take it in by parts.")
    if not found:
        raise FileRefused("No row stands below the heading.")
    signs = decimal_signs(line.cells[at["amount"]] for line in found if at["amount"] < len(line.cells))
    rows = [_row(line, at, today, order, signs) for line in found]
    return PriceList(_weighed(_looked_through(_settled(rows), twice)), tuple(table.notes), unread)


def _heading(lines: Iterator[Line]) -> tuple[dict[str, int], tuple[str, ...]]:
    """Where each column stands, and the headings that are none."""
    known, nearest = {*COLUMNS, *MORE_COLUMNS}, set(NEEDED)
    for _, line in zip(range(LOOKED_FOR), lines, strict=False):
        names = ["_".join(cell.casefold().replace("%", "pct").split()) for cell in line.cells]
        at = {name: place for place, name in reversed(list(enumerate(names))) if name in known}
        missing = set(NEEDED) - at.keys()
        if not missing:
            odd = (cell for cell, name in zip(line.cells, names, strict=True) if cell.strip() and name not in known)
            return at, tuple(" ".join(cell.split())[:80] for cell in odd)
        nearest = min(nearest, missing, key=len)
    told = ", ".join(column for column in NEEDED if column in nearest)
    raise FileRefused(f"No heading with {told} was found; the columns are {','.join(COLUMNS)}.")


def _row(line: Line, at: dict[str, int], today: date, order: str | None, signs: frozenset[str]) -> PriceRow:
    if line.spoilt:
        return PriceRow(line.number, faults=(Fault(ROW, row_text(line.cells)[:200], line.fault),))
    money = [at[column] for column in ("amount", "postage") if column in at]
    texts = with_currencies(line, money)
    cells = {column: texts[place] if place < len(texts) else "" for column, place in at.items()}
    if at["designation"] in line.dated:
        reason = "the spreadsheet holds a date here, the original cannot be told; write it with the column set to text"
        return PriceRow(line.number, faults=(Fault("designation", cells["designation"], reason),))
    read = read_entry(cells, today, order, signs)
    if isinstance(read, tuple):
        return PriceRow(line.number, faults=read)
    told = tuple(filter(None, (line.fault, rates().wanting(read.money.currency, read.on))))
    if told:
        read = replace(read, remarks=(*read.remarks, *told))
    return PriceRow(line.number, read)


def _settled(rows: Sequence[PriceRow]) -> list[PriceRow]:
    of = named_of([row.entry.designation for row in rows if row.entry])
    return [replace(row, of=of.get(row.entry.designation)) if row.entry else row for row in rows]


def _looked_through(rows: Sequence[PriceRow], twice: bool) -> tuple[PriceRow, ...]:
    """The rows with what is there already: of the database, struck rows too, and further up in the file."""
    kept = kept_on(row.entry.on for row in rows if row.entry)
    same = {key: _named(found[0]) for key, found in by_key(kept, same_key).items()}
    alike = {key: _named(found[0]) for key, found in by_key(kept, alike_key).items()}
    found = []
    for row in rows:
        if row.entry:
            what = what_of(row.entry.designation, row.of.name if row.of else "")
            whole, part = same_key(row.entry, what), alike_key(row.entry, what)
            if whole in same:
                row = _same(row, same[whole], twice)
            elif part in alike:
                row = replace(row, alike=alike[part])
            same.setdefault(whole, f"line {row.line} of this file")
            alike.setdefault(part, f"line {row.line} of this file")
        found.append(row)
    return tuple(found)


def _weighed(rows: Sequence[PriceRow]) -> tuple[PriceRow, ...]:
    """The rows with how far off each is; weak tubes and duds go for little, and tell of no mistake."""
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for place, row in enumerate(rows):
        if row.taken and row.entry and row.of and row.entry.grade not in GRADES[-2:]:
            groups[row.of.name, row.entry.money.currency].append(place)
    found = list(rows)
    for (name, currency), places in groups.items():
        prices = [float(entry.each.amount) for place in places if (entry := rows[place].entry)]
        for place, times in zip(places, times_of_others(prices), strict=True):
            if times is not None:
                told = far_told(times, len(places) - 1, f"{name} in {currency} in this list")
                found[place] = replace(found[place], far=told)
    return tuple(found)


def _named(row: Any) -> str:
    struck = f", struck out: {row.struck}" if row.struck else ""
    return f"number {row.pk}, written on {row.entered_at:%Y-%m-%d}{struck}"


def _same(row: PriceRow, other: str, twice: bool) -> PriceRow:
    assert row.entry is not None
    if twice:
        return replace(row, same=True, alike=other)
    told = f"{row.entry.on} {row.entry.designation} {row.entry.money}"
    return replace(row, same=True, faults=(Fault(ROW, told, f"there already: the same as {other}"),))


@transaction.atomic
def take_in_prices(
    file: IO[bytes], name: str, *, today: date, by: Any, order: str | None = None, sheet: str = "",
    twice: bool = False,
) -> PriceList:  # fmt: skip
    """Read a list and write the rows that can be taken, all or none. Raises FileRefused for what is no such list."""
    found = read_prices(file, name, today=today, order=order, sheet=sheet, twice=twice)
    rows = [row_of(row.entry, row.of) for row in found.taken if row.entry]
    return replace(found, written=write_rows(rows, by=by, reason=f"list {name}"))
