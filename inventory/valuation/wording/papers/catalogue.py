"""The catalogue as page and PDF show it."""

from inventory.house.printed import Cell, Printed, Section, Words, table
from inventory.valuation.queries.catalogue import BY_KIND, Catalogue, Entry
from inventory.valuation.queries.things import NO_PLACE
from inventory.valuation.wording.papers.common import (
    NO_AMOUNT,
    NO_EVIDENCE,
    figure,
    heading_lines,
    meaning_section,
    named,
    opening,
    tags_told,
)
from inventory.valuation.wording.things import kind_in_words


def catalogue_printed(found: Catalogue) -> Printed:
    """A chapter for each kind or building; each model, type or place by name in it."""
    stated = found.stated
    count = sum(len(entry.pieces) for _, headings in found.chapters for _, entries in headings for entry in entries)
    lines = [f"{count} things{f' in {stated.place}' if stated.place else ''}, {_by(found)}."]
    if found.values or stated.appraisal:
        lines += heading_lines(stated)
    else:
        lines.append(f"Made by {stated.made_by} on {stated.made_on}. No values are in it.")
    sections = [_chapter(title, headings, found) for title, headings in found.chapters]
    if found.values:
        sections.append(meaning_section(stated))
    return Printed("Catalogue", tuple(lines), tuple(sections), opening(stated) if found.values else ())


def _by(found: Catalogue) -> str:
    return "by kind, then by model or type" if found.by == BY_KIND else "by place"


def _chapter(title: str, headings: tuple[tuple[str, tuple[Entry, ...]], ...], found: Catalogue) -> Section:
    columns = [
        ("Photograph", 0.17), ("What", 0.2), ("Serial, tags", 0.13), ("Condition", 0.19),
        ("Figures, what stands in it", 0.18), ("Got", 0.13),
    ]  # fmt: skip
    value = f"Value, {found.stated.currency}"
    if found.values:
        columns.append((value, 0.1))
    rows = [_row(entry, found) for _, entries in headings for entry in entries]
    name = kind_in_words(title) if found.by == BY_KIND else title
    many = sum(len(entry.pieces) for _, entries in headings for entry in entries)
    hint = f"{many} in {len(headings)} {'models and types' if found.by == BY_KIND else 'places'}"
    blocks = (table(columns, rows, figures=(value,)),) if rows else (Words(("Nothing.",)),)
    return Section("In no place" if name == NO_PLACE else name, blocks, hint)


def _row(entry: Entry, found: Catalogue) -> list[Cell]:
    first = entry.first
    place = f"in {entry.stands_in}" if entry.stands_in else first.figure.place
    told = [*entry.figures, *([f"In it: {'; '.join(entry.holds)}."] if entry.holds else [])]
    row: list[Cell] = [
        Cell(picture=first.photograph), named(first, first.maker, place, count=len(entry.pieces)),
        Cell(first.serial or tags_told(entry.tags), (tags_told(entry.tags),) if first.serial else ()),
        Cell(first.figure.grade, tuple(filter(None, (first.condition,)))), Cell("", tuple(told)),
        Cell("", tuple(filter(None, (first.acquired,))) if len(entry.pieces) == 1 else ()),
    ]  # fmt: skip
    if found.values:
        inside = (f"with {first.figure.part_of}",) if first.figure.part_of else ()
        most = first.figure.at_most if entry.amount is None else ""
        row.append(Cell(figure(entry.amount, NO_AMOUNT if most else NO_EVIDENCE), (most, *inside) if most else inside))
    return row
