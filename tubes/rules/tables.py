"""The reference tables: their columns, how a line is read, and what is wrong with a bad one.

Eleven files, comma-separated, UTF-8, first line the column names:
``sources.csv`` and ``ratings_sources.csv`` (texts), ``jan_makers.csv`` (maker codes), ``designations.csv`` (marks of
types), ``ratings.csv`` (figures of types), and six that may be missing: ``relations.csv`` (how two types that bear no
mark in common are related), ``cautions.csv`` (what can hurt), ``limits.csv`` (what rules judge by), ``basings.csv``
(electrode by pin), ``handbook_tests.csv`` (test points of a published handbook) and ``recall_doubts.csv`` (what two
people recalled otherwise). How a source cell is written: see ``tubes.rules.sources``; in the last four it is one key.
"""

import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from tubes.rules.basing import PinFault, parse_pins
from tubes.rules.handbook import parse_test_pins
from tubes.rules.limits import key_fault
from tubes.rules.relations import RELATIONS
from tubes.rules.schemes import BY_NAME, TABLED
from tubes.rules.sources import FROM_MEMORY_TWICE, Citation, SourceFault, field_sources, parse_source
from tubes.rules.stamp_tables import DesignationRow

KINDS = (
    "triode duotriode tetrode beam-tetrode pentode heptode duodiode rectifier gas-rectifier gas-regulator thyratron "
    "diode duodiode-triode triode-pentode triode-hexode indicator crt klystron magnetron tr-tube spark-gap phototube "
    "ballast other"
).split()
CATHODES = "oxide-indirect oxide-direct thoriated-tungsten tungsten cold".split()
CAPS = "none plate grid".split()
CUTOFFS = ("sharp", "semi-remote", "remote")
FIGURES = (
    "heater_v heater_a plate_v_max plate_w_max screen_v_max screen_w_max mu gm_umho rp_ohm cgp_pf cin_pf cout_pf "
    "plate_ma_typ freq_max_mhz"
).split()
WORDS = "kind cathode base basing cap".split()
KEPT_WORDS = (*WORDS, "cutoff")  # of rows: in the table the note tells the cutoff, in fixed words
RATED_FIELDS = (*KEPT_WORDS, *FIGURES, "note")

COLUMNS: Mapping[str, tuple[str, ...]] = {
    "sources.csv": ("key", "title", "publisher", "year", "location", "read_at"),
    "ratings_sources.csv": ("key", "title", "publisher", "year", "location", "read_at"),
    "jan_makers.csv": ("code", "maker", "source"),
    "designations.csv": ("type", "scheme", "designation", "relation", "note", "source"),
    "relations.csv": ("type", "other", "relation", "note", "source"),
    "cautions.csv": ("type", "caution", "source"),
    "ratings.csv": ("type", "kind", "cathode", *FIGURES[:2], *WORDS[2:], *FIGURES[2:], "note", "source"),
    "limits.csv": ("key", "value", "unit", "meaning", "source"),
    "basings.csv": ("code", "socket", "pins", "source"),
    "handbook_tests.csv": (
        "type", "system", "electrodes", "heater_v", "base", "pins_as_tested", "cap", "test_plate_v", "test_grid_v",
        "test_screen_v", "test_plate_ma", "test_gm_umho", "remarks", "source",
    ),
    "recall_doubts.csv": ("about", "scheme", "field", "tables_say", "recalled_as", "source"),
}  # fmt: skip
FILES = tuple(COLUMNS)
_ONE_SOURCE = frozenset(
    {"limits.csv", "basings.csv", "handbook_tests.csv", "recall_doubts.csv"}
)  # one key, commas and all
OPTIONAL = frozenset({"relations.csv", "cautions.csv"}) | _ONE_SOURCE
TESTED = ("heater_v", "test_plate_v", "test_grid_v", "test_screen_v", "test_plate_ma", "test_gm_umho")
_NUMBERS = {"ratings.csv": FIGURES, "limits.csv": ["value"], "handbook_tests.csv": ["system", *TESTED]}
_OPEN = frozenset({"kind", "cathode"})  # empty in a row recalled twice: the two did not agree
_BELOW_NOUGHT = frozenset({"test_grid_v"})


_FIGURE = re.compile(r"[0-9]{1,9}(\.[0-9]*)?([eE]-[0-9]{1,3})?|\.[0-9]+")


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong in a table; printed as ``file:line: column: what was found, what is expected``."""

    file: str
    line: int
    column: str
    text: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.column}: {self.text}"


@dataclass(frozen=True, slots=True)
class TableRow:
    """One good line: its cells, figures turned into floats, and its citations."""

    file: str
    line: int
    cells: Mapping[str, str]
    figures: Mapping[str, float] = field(default_factory=dict)
    citations: tuple[Citation, ...] = ()


@dataclass(frozen=True)
class Tables:
    """All rows of all files, and every fault found on the way."""

    rows: Mapping[str, tuple[TableRow, ...]]
    faults: tuple[Fault, ...]


def mark_of(row: TableRow) -> DesignationRow:
    """A good line of ``designations.csv`` or ``relations.csv`` as the rules take it."""
    cells = row.cells
    mark = (cells["scheme"], cells["designation"]) if "scheme" in cells else (BY_NAME, cells["other"])
    return DesignationRow(cells["type"], *mark, cells["relation"], cells["note"])


def read_tables(texts: Mapping[str, str]) -> Tables:
    """Read the files (name to whole text); a missing file is a fault. Never raises for bad content."""
    rows: dict[str, tuple[TableRow, ...]] = {}
    keys: dict[str, set[str] | None] = {}
    faults: list[Fault] = []
    for name in FILES:
        if name not in texts and name in OPTIONAL:
            rows[name], keys[name] = (), set()
        elif name not in texts:
            faults.append(Fault(name, 0, "file", "not found, expected a table of this name"))
            rows[name], keys[name] = (), None
        else:
            rows[name], keys[name], found = _read_file(name, texts[name])
            faults += found
    faults += _unknown_sources(rows, keys)
    return Tables(rows, tuple(sorted(faults, key=lambda f: (FILES.index(f.file), f.line))))


def _read_file(name: str, text: str) -> tuple[tuple[TableRow, ...], set[str] | None, list[Fault]]:
    """The good rows, the first key of every row good or bad (None: the file cannot be read as a table), the faults."""
    reader = csv.reader(io.StringIO(text.lstrip("\ufeff"), newline=""), strict=True)
    columns = COLUMNS[name]
    rows: list[TableRow] = []
    faults: list[Fault] = []
    keys: dict[tuple[str, ...], int] = {}
    try:
        heading = tuple(next(reader, ()))
        if sorted(heading) != sorted(columns):
            return (), None, [Fault(name, 1, "heading", f"{','.join(heading)!r}, expected {','.join(columns)!r}")]
        last = reader.line_num
        for cells in reader:
            line, last = last + 1, reader.line_num  # a row over several lines is named by its first
            if not any(cell.strip() for cell in cells):
                continue
            if len(cells) != len(columns):
                faults.append(Fault(name, line, "row", f"{len(cells)} cells, expected {len(columns)}"))
                continue
            row, bad = _read_row(name, line, dict(zip(heading, (cell.strip() for cell in cells), strict=True)))
            key = tuple(row.cells[column] for column in _KEYS[name])
            if key in keys:
                bad.append(
                    Fault(name, line, _KEYS[name][0], f"{' '.join(key)!r} again, expected it once (line {keys[key]})")
                )
            keys[key] = line
            faults += bad
            if not bad:
                rows.append(row)
    except csv.Error as fault:
        faults.append(Fault(name, reader.line_num, "row", f"{fault}, expected comma-separated text"))
    return tuple(rows), {key[0] for key in keys}, faults


_KEYS: Mapping[str, tuple[str, ...]] = {
    "sources.csv": ("key",),
    "ratings_sources.csv": ("key",),
    "jan_makers.csv": ("code",),
    "designations.csv": ("type", "scheme", "designation"),
    "relations.csv": ("type", "other"),
    "cautions.csv": ("type",),
    "ratings.csv": ("type",),
    "limits.csv": ("key",),
    "basings.csv": ("code",),
    "handbook_tests.csv": ("type", "system"),
    "recall_doubts.csv": ("about", "scheme", "field"),
}
_NEEDED: Mapping[str, tuple[str, ...]] = {
    "sources.csv": ("key", "title"),
    "ratings_sources.csv": ("key", "title"),
    "jan_makers.csv": ("code", "maker", "source"),
    "designations.csv": ("type", "scheme", "designation", "relation", "source"),
    "relations.csv": ("type", "other", "relation", "source"),
    "cautions.csv": ("type", "caution", "source"),
    "ratings.csv": ("type", "kind", "cathode", "source"),
    "limits.csv": COLUMNS["limits.csv"],
    "basings.csv": COLUMNS["basings.csv"],
    "handbook_tests.csv": ("type", "system", "electrodes", "base", "source"),
    "recall_doubts.csv": ("about", "recalled_as", "source"),
}
_CHOICES: Mapping[str, Mapping[str, Iterable[str]]] = {
    "designations.csv": {"scheme": TABLED, "relation": RELATIONS},
    "relations.csv": {"relation": RELATIONS},
    "ratings.csv": {"kind": KINDS, "cathode": CATHODES, "cap": CAPS},
}


def _read_row(name: str, line: int, cells: dict[str, str]) -> tuple[TableRow, list[Fault]]:
    faults: list[Fault] = []

    def fault(column: str, text: str) -> None:
        faults.append(Fault(name, line, column, text))

    open_cells = _OPEN if name == "ratings.csv" and cells["source"] == FROM_MEMORY_TWICE else frozenset()
    for column in _NEEDED[name]:
        if not cells[column] and column not in open_cells:
            fault(column, "empty, expected a value")
    for column, choices in _CHOICES.get(name, {}).items():
        if cells[column] and cells[column] not in choices:
            fault(column, f"{cells[column]!r}, expected one of {', '.join(choices)}")
    figures = _figures(_NUMBERS.get(name, []), cells, fault)
    if name == "limits.csv" and (wrong := key_fault(cells["key"])):
        fault("key", wrong)
    if name == "basings.csv":
        try:
            parse_pins(cells["pins"])
        except PinFault as reason:
            fault("pins", str(reason))
    if name == "handbook_tests.csv":
        try:
            parse_test_pins(cells["pins_as_tested"])
        except ValueError as wrong_pins:
            fault("pins_as_tested", str(wrong_pins))
    citations = _citations(name, cells, fault) if cells.get("source") else ()
    if name == "ratings.csv" and citations and not faults:
        filled = [column for column in (*WORDS, *FIGURES) if cells[column]]
        named = {found.field for found in field_sources(citations, filled)}
        if alone := [column for column in filled if column not in named]:
            fault("source", f"no text for {', '.join(alone)}; expected key[{'+'.join(alone)}] or from memory[rest]")
    return TableRow(name, line, cells, figures, citations), faults


def _figures(columns: Iterable[str], cells: Mapping[str, str], fault: Callable[[str, str], None]) -> dict[str, float]:
    figures = {}
    for column in columns:
        if not cells[column]:
            continue
        if not _FIGURE.fullmatch(cells[column].removeprefix("-") if column in _BELOW_NOUGHT else cells[column]):
            fault(column, f"{cells[column]!r}, expected a figure of 0 or more, or nothing")
        else:
            figures[column] = float(cells[column])
    return figures


def _citations(name: str, cells: Mapping[str, str], fault: Callable[[str, str], None]) -> tuple[Citation, ...]:
    if name in _ONE_SOURCE:
        return (Citation(cells["source"]),)
    try:
        citations = parse_source(cells["source"])
    except SourceFault as reason:
        fault("source", str(reason))
        return ()
    for citation in citations:
        for column in citation.fields:
            if column not in COLUMNS[name]:
                fault("source", f"{citation.key}[{column}], expected a column of this file")
    return citations


def _unknown_sources(rows: Mapping[str, tuple[TableRow, ...]], keys: Mapping[str, set[str] | None]) -> list[Fault]:
    """Citations whose key no source table explains; nothing where that table itself could not be read."""
    homes = {"designations.csv": "sources.csv", "relations.csv": "sources.csv", "jan_makers.csv": "sources.csv"}
    homes |= dict.fromkeys(("ratings.csv", "cautions.csv", *_ONE_SOURCE), "ratings_sources.csv")
    faults = []
    for file, home in homes.items():
        known = keys[home]
        if known is None:
            continue
        faults += [
            Fault(file, row.line, "source", f"{citation.key!r}, expected a key of the source tables")
            for row in rows[file]
            for citation in row.citations
            if citation.key not in known
        ]
    return faults
