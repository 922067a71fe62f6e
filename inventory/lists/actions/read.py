"""A list read row by row, before anything is written: heading, columns, readings, put by in a file of its own."""

import pickle
import tempfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import chain, islice
from typing import IO, Any

from inventory.holdings.rules.cells import row_text, says_ditto
from inventory.holdings.rules.dates import DAY_FIRST, MONTH_FIRST
from inventory.house.currencies import is_currency, no_currency
from inventory.lists.actions.files import FileRefused, Table
from inventory.lists.rules import fields as f
from inventory.lists.rules.columns import WHY, column_keys, find_heading, heading_of_mapping, mapped
from inventory.lists.rules.headings import Proposal
from inventory.lists.rules.own_lists import own_list, proposals
from inventory.lists.rules.records import Line, with_currencies
from inventory.lists.rules.rows import (
    HELD,
    NOT_AN_ITEM,
    REFUSED,
    REMARKED,
    WRITTEN,
    Context,
    RowReading,
    RowRemark,
    read_row,
)
from inventory.lists.rules.spreadsheet_cells import plain_cell
from tubes.queries import Knowledge
from tubes.queries.judging import double_families

SAMPLE_ROWS = 200
AT_ONCE = 500  # rows in one batch
#: Prices, and what is kept as text: there the currency that a sheet shows would be lost.
TELL_CURRENCY = (f.PRICE, f.ASKED, f.INSURED, f.OTHER)
MOST_ROWS = 1_000_000
MOST_LINES = 2_000_000  # of a file, with the blank ones at its end, which are not kept
LONGEST_GAP = 100_000  # blank rows one after another between filled ones
KEPT_BLANK = 500  # blank rows kept at the end of a list
Progress = Callable[[int], None]


@dataclass(frozen=True)
class Options:
    """What the keeper says of the whole list; see ``lists.rules.row_result.Context``."""

    kind: str | None = None
    dollar: str | None = None
    order: str | None = None
    bare: str = ""
    currency: str | None = None

    def as_dict(self) -> dict[str, str]:
        return {name: value for name, value in self.__dict__.items() if value}


def options_of(kept: dict[str, Any]) -> Options:
    """The options kept in a mapping or a run. Raises ValueError for one that is none."""
    options = Options(
        kept.get("kind") or None,
        kept.get("dollar") or None,
        kept.get("order") or None,
        kept.get("bare") or "",
        kept.get("currency") or None,
    )
    if options.kind and options.kind not in f.KINDS:
        raise ValueError(f"{options.kind!r} is no kind; expected {', '.join(f.KINDS)}")
    for code in (options.dollar, options.currency):
        if code and not (len(code) == 3 and code.isascii() and code.isalpha() and code.isupper()):
            raise ValueError(f"{code!r} is no currency code; expected three letters such as EUR, USD or CAD")
    if options.order not in (None, DAY_FIRST, MONTH_FIRST):
        raise ValueError(f"{options.order!r} is no order of dates; expected day or month")
    if options.bare not in ("", "row", "each"):
        raise ValueError(f"{options.bare!r}: a price with no word beside it is for the row or for each")
    return options


def check_currencies(options: Options) -> None:
    """Refuse a currency of a whole list that is none. Raises ValueError.

    What is entered is checked: a list that was read before this was asked is read again as it was.
    """
    for code in (options.dollar, options.currency):
        if code and not is_currency(code):
            raise ValueError(no_currency(code))


@dataclass
class Laid:
    """A list laid out: its heading, the rows above it, the rows below it one by one."""

    headings: list[str]
    keys: list[str]
    above: list[Line]
    rows: Iterator[Line]
    sample: list[Line]

    def proposals(self) -> tuple[Proposal, ...]:
        return proposals(self.headings, [with_currencies(line) for line in self.sample if not line.spoilt])


def lay_out(table: Table, columns: dict[str, str] | None = None) -> Laid:
    """Find the heading of a list. Raises FileRefused for a file without any row."""
    lines = without_blank_end(table)
    first = list(islice(lines, SAMPLE_ROWS))
    if not any(cell.strip() for line in first for cell in line.cells) and len(first) < SAMPLE_ROWS:
        raise FileRefused("The file has no filled row.")
    cells = [line.cells for line in first]
    at = heading_of_mapping(cells, columns) if columns else None
    at = 0 if at is None and _of_refused_rows(cells) else at
    at = find_heading(cells) if at is None else at
    headings = [" ".join(cell.split()) for cell in first[at].cells] if at is not None else []
    above, below = (first[:at], first[at + 1 :]) if at is not None else ([], first)
    rows: Iterator[Line] = chain(below, lines)
    if headings and headings[-1].casefold() == WHY:  # refused rows, corrected: the reasons are read no more
        headings.pop()
        rows = (_without_why(line, len(headings)) for line in rows)
        below = [_without_why(line, len(headings)) for line in below]
    width = max([len(headings), *(len(line.cells) for line in below if not line.spoilt)])
    return Laid(headings, column_keys(headings, width), above, rows, below)


def without_blank_end(table: Table) -> Iterator[Line]:
    """The lines of a file without a long tail of blank ones, as a spreadsheet may write; its notes say so.

    Raises FileRefused for more lines than any list has, and for a gap that nobody leaves on purpose.
    """
    blank: list[Line] = []
    filled, tail = False, 0
    for count, line in enumerate(table.lines, 1):
        if count > MOST_LINES:
            raise FileRefused(f"The file has more than {MOST_LINES} lines; delete the blank ones, or part it.")
        if not line.spoilt and not any(map(str.strip, line.cells)):
            tail += 1
            if tail <= LONGEST_GAP:
                blank.append(line)
            continue
        if tail > LONGEST_GAP:
            told = f"{tail} blank rows stand above line {line.number}"
            raise FileRefused(f"{told}; delete them, {LONGEST_GAP} at most are read over.")
        yield from blank
        yield line
        filled, tail = True, 0
        blank.clear()
    if filled and tail > KEPT_BLANK:
        table.notes.append(f"{tail - KEPT_BLANK} of {tail} blank rows at the end are left out.")
    yield from blank[: KEPT_BLANK if filled else 1]


def check_rows(count: int) -> None:
    """Raises FileRefused for more rows than a list may have."""
    if count > MOST_ROWS:
        raise FileRefused(f"The list has more than {MOST_ROWS} rows; take it in by parts.")


def _of_refused_rows(rows: Sequence[Sequence[str]]) -> bool:
    return bool(rows and rows[0]) and rows[0][-1].strip().casefold() == WHY


def _without_why(line: Line, width: int) -> Line:
    return replace(line, cells=tuple(plain_cell(cell) for cell in line.cells[:width]))


def fields_for(laid: Laid, columns: dict[str, str] | None) -> dict[str, str]:
    """What each column is: by the mapping, or as proposed. Raises ValueError for a mapping of another list."""
    if columns:
        return mapped(laid.keys, columns)
    proposals = laid.proposals()
    return {key: proposals[i].field if i < len(proposals) else f.OTHER for i, key in enumerate(laid.keys)}


@dataclass(frozen=True, slots=True)
class ReadRow:
    """A row of the list with what was read from it."""

    row: int
    source: Line
    reading: RowReading

    @property
    def line(self) -> int:
        return self.source.number

    @property
    def cells(self) -> tuple[str, ...]:
        return self.source.cells


class Spool:
    """Readings put by in a temporary file, so that a list of any length needs the memory of a few rows."""

    def __init__(self) -> None:
        self.file: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - closed with the spool
        self.count = 0

    def put(self, things: Sequence[Any]) -> None:
        pickle.dump(things, self.file, pickle.HIGHEST_PROTOCOL)
        self.count += len(things)

    def batches(self) -> Iterator[Sequence[Any]]:
        at = 0
        while True:  # several may read at once, each from where it stands
            self.file.seek(at)
            try:
                batch = pickle.load(self.file)
            except EOFError:
                return
            at = self.file.tell()
            yield batch

    def __iter__(self) -> Iterator[Any]:
        return chain.from_iterable(self.batches())

    def close(self) -> None:
        self.file.close()


@dataclass(frozen=True)
class Reader:
    """Reads rows of one list: the fields of its columns, and what the keeper said of it."""

    context: Context
    mapping: list[str]

    def place_cell(self, cells: Sequence[str]) -> str:
        """The cell of the place, where the list has one column of places."""
        at = [index for index, field in enumerate(self.mapping) if field == f.PLACE]
        return cells[at[0]] if len(at) == 1 and at[0] < len(cells) else ""

    def read(self, line: Line, counted: int | None = None, above: str = "") -> RowReading:
        """What a row says; ``counted``: how many things it is, where somebody counted them; ``above``: the place of the
        row above, which ditto marks mean.
        """
        if above and not line.spoilt and not self.context.own and says_ditto(self.place_cell(line.cells)):
            return self._as_above(line, counted, above)
        if line.spoilt:
            return _refused(line, line.fault, "look at this line of the file and part it")
        told = [at for at, field in enumerate(self.mapping) if field in TELL_CURRENCY] if line.shown else []
        cells, verbatim = with_currencies(line, told), frozenset[int]()
        if self.context.own:  # texts that a spreadsheet would calculate went out with an apostrophe
            verbatim = frozenset(at for at, cell in enumerate(cells) if cell.startswith("'"))
            cells = tuple(plain_cell(cell) if at in verbatim else cell for at, cell in enumerate(cells))
        dated = [at for at in line.dated if at < len(self.mapping) and self.mapping[at] == f.SERIAL]
        cells = tuple("" if at in dated else cell for at, cell in enumerate(cells))
        found = read_row(cells, self.mapping, self.context, verbatim, counted)
        if dated and found.outcome != NOT_AN_ITEM:
            found = self._without_serial(line, dated[0], found)
        if found.outcome in (WRITTEN, REMARKED) or found.choices:
            for index in line.dated:
                if index < len(self.mapping) and self.mapping[index] in (f.MARK, f.MODEL):
                    return self._dated(line, index)
        if line.fault and found.outcome != NOT_AN_ITEM:
            remark = RowRemark("row", row_text(line.cells), line.fault, "look whether the cells are right")
            outcome = REMARKED if found.outcome == WRITTEN else found.outcome
            found = replace(found, outcome=outcome, remarks=(*found.remarks, remark))
        return found

    def _as_above(self, line: Line, counted: int | None, above: str) -> RowReading:
        index = self.mapping.index(f.PLACE)
        cells = tuple(above if at == index else cell for at, cell in enumerate(line.cells))
        found = self.read(replace(line, cells=cells), counted)
        if found.outcome not in (WRITTEN, REMARKED, HELD):
            return found
        reason = f"as above: {above} taken"
        remark = RowRemark(self._heading(index), line.cells[index], reason, "correct it if the rows were sorted since")
        outcome = REMARKED if found.outcome == WRITTEN else found.outcome
        return replace(found, outcome=outcome, remarks=(*found.remarks, remark))

    def _without_serial(self, line: Line, index: int, found: RowReading) -> RowReading:
        cell, heading = line.cells[index], self._heading(index)
        reason = f"{cell}: the spreadsheet holds a date here: taken in without the serial"
        remark = RowRemark(heading, cell, reason, "read the plate and give the serial on its page")
        outcome = REMARKED if found.outcome == WRITTEN else found.outcome
        return replace(found, outcome=outcome, remarks=(*found.remarks, remark))

    def _heading(self, index: int) -> str:
        return self.context.headings[index] if index < len(self.context.headings) else self.mapping[index]

    def _dated(self, line: Line, index: int) -> RowReading:
        cell = line.cells[index]
        heading = self._heading(index)
        reason = f"{cell}: the spreadsheet holds a date here, the original cannot be told"
        return _refused(line, reason, "write it again with the column set to text", heading, cell)


def reader(known: Knowledge, today: date, headings: Sequence[str], mapping: list[str], options: Options) -> Reader:
    """What reads the rows of a list; a list that this program took out is known by its headings."""
    own = own_list(headings)
    kind = options.kind or (own.kind if own else None)
    context = Context(
        known.tables, today, tuple(headings), kind, options.dollar, options.order, options.bare, own is not None,
        options.currency, double_families(),
    )  # fmt: skip
    return Reader(context, mapping)


def _refused(line: Line, reason: str, action: str, column: str = "row", found: str = "") -> RowReading:
    remark = RowRemark(column, found or row_text(line.cells), reason, action)
    return RowReading(REFUSED, reason, remarks=(remark,))


def read_all(laid_above: Iterable[Line], rows: Iterable[Line], reads: Reader, progress: Progress) -> Spool:
    """Read every row and put the readings by. Rows above the heading are no items of the list."""
    spool = Spool()
    batch: list[ReadRow] = []
    count = 0

    def keep(line: Line, reading: RowReading) -> None:
        nonlocal count
        count += 1
        check_rows(count)
        batch.append(ReadRow(count, line, reading))
        if len(batch) >= AT_ONCE:
            spool.put(batch)
            batch.clear()
            progress(count)

    for line in laid_above:
        keep(line, RowReading(NOT_AN_ITEM, "above the heading" if any(map(str.strip, line.cells)) else "blank row"))
    place = ""
    for line in rows:
        found = reads.read(line, above=place)
        if found.outcome not in (NOT_AN_ITEM, REFUSED):
            place = found.place_text if len(found.places) == 1 else ""
        keep(line, found)
    if batch:
        spool.put(batch)
    progress(count)
    return spool
