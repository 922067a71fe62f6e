"""Good lines of the reference tables as the rules take them: figures of types, base diagrams, rows of the handbook.

Without a database: the loader asks rules before anything is written.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from tubes.rules.basing import Basing, parse_pins
from tubes.rules.figures import Figure, TypeFigures, Word, form_like, known_type
from tubes.rules.handbook import BookRow, Handbook, Told, parse_test_pins
from tubes.rules.handbook_marked import Marked, marked_in
from tubes.rules.relations import kinship
from tubes.rules.sources import AGREES, FROM_MEMORY, TWICE, FieldSource, best, field_sources, told
from tubes.rules.stamp_tables import DesignationRow
from tubes.rules.tables import WORDS, TableRow, Tables


def basings_of(tables: Tables) -> dict[str, Basing]:
    """The base diagrams by code."""
    rows = (row.cells for row in tables.rows["basings.csv"])
    return {one["code"]: Basing(one["code"], one["socket"], parse_pins(one["pins"]), one["source"]) for one in rows}


def book_rows_of(tables: Tables) -> list[BookRow]:
    """The rows of the handbook."""
    return [
        BookRow(
            row.cells["type"],
            int(row.figures["system"]),
            row.cells["electrodes"],
            row.cells["base"],
            parse_test_pins(row.cells["pins_as_tested"]),
            tuple(row.cells["cap"].split()),
            row.figures.get("heater_v"),
            row.figures.get("test_plate_v"),
            row.figures.get("test_grid_v"),
            row.figures.get("test_screen_v"),
            row.figures.get("test_plate_ma"),
            row.figures.get("test_gm_umho"),
            row.cells["remarks"],
            row.cells["source"],
        )
        for row in tables.rows["handbook_tests.csv"]
    ]


def told_in(tables: Tables) -> dict[str, Told]:
    """What the handbook tells of each type of ``ratings.csv``."""
    book, diagrams = Handbook(book_rows_of(tables)), basings_of(tables)
    figures = figures_of(tables)
    return {name: book.told(one, diagrams.get(one.word("basing"))) for name, one in figures.items()}


def agreed_in(told: Mapping[str, Told]) -> dict[tuple[str, str], str]:
    """(type, figure) of ``ratings.csv`` that a row of the handbook bears out, to the key of that handbook."""
    return {
        (name, one.field): one.source for name, book in told.items() for one in book.said if one.field in book.agreed
    }


def others_in(told: Mapping[str, Told]) -> set[tuple[str, int]]:
    """(number, system) of rows of the handbook that are of another tube than the type that bears just this number."""
    return {(row.type, row.system) for name, book in told.items() if not book.shared for row in book.others}


def marked_in_tables(
    tables: Tables, marks: Iterable[DesignationRow], types: Iterable[str], own_marks: Iterable[str]
) -> Marked:  # fmt: skip
    """What the handbook tells of types without a row of figures, and of marks. ``own_marks``: those that are types."""
    rated, marks, types = figures_of(tables), list(marks), set(types)
    unrated = (types | set(own_marks)) - set(rated)
    kin = kinship(marks, types)
    return marked_in(Handbook(book_rows_of(tables)), unrated, rated, marks, kin, basings_of(tables))


def behind(row: TableRow, agreed: Mapping[tuple[str, str], str], filled: Iterable[str]) -> Iterator[FieldSource]:
    """The texts behind the figures of a row; one from memory that a handbook bears out rests on both, graded so."""
    for found in field_sources(row.citations, filled):
        book = agreed.get((row.cells["type"], found.field), "") if found.grade in (FROM_MEMORY, TWICE) else ""
        yield replace(found, grade=AGREES) if book else found
        if book:
            yield FieldSource(found.field, book, AGREES)


def figures_of(tables: Tables, agreed: Mapping[tuple[str, str], str] = MappingProxyType({})) -> dict[str, TypeFigures]:
    """Every type of ``ratings.csv`` with the figures of its own row. ``agreed``: as of ``agreed_in``."""
    rows = {row.cells["type"]: row for row in tables.rows["ratings.csv"]}

    def note_of(name: str) -> str:
        return rows[name].cells["note"] if name in rows else ""

    return {
        name: known_type(name, *_cells(row, agreed), form_note=note_of(form_like(row.cells["note"])))
        for name, row in rows.items()
    }


def _cells(row: TableRow, agreed: Mapping[tuple[str, str], str]) -> tuple[dict[str, Figure], dict[str, Word]]:
    filled = tuple(name for name, cell in row.cells.items() if cell and name not in ("type", "source"))
    grades: dict[str, list[str]] = {}
    keys: dict[str, list[str]] = {}
    for found in behind(row, agreed, filled):
        grades.setdefault(found.field, []).append(found.grade)
        keys.setdefault(found.field, []).append(found.key)

    def standing(name: str) -> tuple[str, str]:
        return told(best(grades.get(name, ()))), ", ".join(keys.get(name, ()))

    numbers = {name: Figure(value, *standing(name)) for name, value in row.figures.items()}
    return numbers, {name: Word(row.cells[name], *standing(name)) for name in (*WORDS, "note") if row.cells[name]}
