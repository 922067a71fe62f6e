"""What the handbook of tests tells of types, and where it contradicts the tables."""

from collections.abc import Iterator
from dataclasses import asdict, replace

from tubes.models import TABLE
from tubes.queries.handbook_rows import handbook
from tubes.queries.judging import Court, court, notes_of_marks
from tubes.rules.explained import DENIED, OWN, why_handbook
from tubes.rules.figures import TypeFigures
from tubes.rules.handbook import Handbook, Told
from tubes.rules.handbook_marked import denials, told_under_marks
from tubes.rules.stamp import DesignationRow

__all__ = ["contradictions", "handbook", "handbook_of", "told_of_marks"]


def handbook_of(name: str, judges: Court | None = None, book: Handbook | None = None) -> Told:
    """What the handbook tells of one type, by the figures of the type's own or of the same tube.

    ``judges`` and ``book``: what the caller has fetched already, for many types.
    """
    judges = judges or court()
    return _told(book or handbook(), judges, judges[name])


def _told(book: Handbook, judges: Court, figures: TypeFigures) -> Told:
    held = judges.held.get(figures.name)
    basing, tables = judges.basings.get(figures.word("basing")), judges.own.tables.get(figures.name)
    told = book.told(figures, basing, tables, this=held is not None)
    said = tuple(replace(one, own=judges.own.holds(figures, one.field)) for one in told.said)
    if held is not None:
        fields = {one.field for one in held.said}
        said = held.said + tuple(one for one in said if one.field not in fields)
    return replace(told, said=said)


def contradictions() -> list[dict[str, object]]:
    """Figures of the tables that a row of the handbook contradicts, or that make the row one of another tube.

    Under the marks of types, then under their names; a row of another tube than a mark means is told with its type.
    """
    judges, book = court(), handbook()
    notes = notes_of_marks(judges.known)
    found: list[dict[str, object]] = []
    for name in sorted(judges.figures):
        figures = judges.figures[name]
        if name in judges.held:
            found += [asdict(one) for one in judges.held[name].said]
        own = not figures.borrows  # what was taken from another type is told of that one
        if own and name not in judges.known.of_handbook:
            told = _told(book, judges, figures)
            other = bool(told.others)
            against = [one for one in told.said if not one.agrees]
            if other and not against:
                found += [asdict(one) | {"why": DENIED} for one in denials(name, told.others, notes.get(name, ()))]
            found += [
                asdict(one) | {"why": OWN if one.own else why_handbook(name, one.field, other)} for one in against
            ]
    marked = [one for _, told in _under_marks(judges, book) for one in _against(told)]
    return [one for at, one in enumerate(marked) if one not in marked[:at]] + found  # two systems may say the same


def _against(told: Told) -> list[dict[str, object]]:
    other = bool(told.others)
    return [asdict(one) | {"why": why_handbook(one.row, one.field, other)} for one in told.said if not one.agrees]


def _under_marks(judges: Court, book: Handbook, of: str = "") -> Iterator[tuple[DesignationRow, Told]]:
    """Rows of the handbook under marks of the tables, held against the types that these mean; ``of``: one type."""
    known = judges.known
    marks = [
        DesignationRow(m.type, m.scheme, m.designation, m.relation, m.note)
        for m in known.marks
        if m.origin == TABLE and of in ("", m.type)
    ]
    own = {name: one for name, one in judges.figures.items() if not one.borrows}
    return told_under_marks(book, marks, own | dict(judges.own.tables), known.types, judges.basings)


def told_of_marks(name: str, judges: Court | None = None, book: Handbook | None = None) -> list[tuple[str, Told]]:
    """Of a type: its marks under which the handbook has another tube, or one that differs, with what is told there."""
    judges = judges or court()
    found = _under_marks(judges, book or handbook(), name)
    return [(mark.designation, told) for mark, told in found if _against(told)]
