"""What the handbook of tests tells of types, and where it contradicts the tables."""

from dataclasses import asdict, replace

from tubes.queries.handbook_rows import handbook
from tubes.queries.judging import Court, court
from tubes.rules.explained import OWN, why_handbook
from tubes.rules.figures import TypeFigures
from tubes.rules.handbook import Handbook, Told

__all__ = ["contradictions", "handbook", "handbook_of"]


def handbook_of(name: str, judges: Court | None = None, book: Handbook | None = None) -> Told:
    """What the handbook tells of one type, by the figures of the type's own or of the same tube.

    ``judges`` and ``book``: what the caller has fetched already, for many types.
    """
    judges = judges or court()
    return _told(book or handbook(), judges, judges[name])


def _told(book: Handbook, judges: Court, figures: TypeFigures) -> Told:
    told = book.told(figures, judges.basings.get(figures.word("basing")), judges.own.tables.get(figures.name))
    return replace(told, said=tuple(replace(one, own=judges.own.holds(figures, one.field)) for one in told.said))


def contradictions() -> list[dict[str, object]]:
    """Figures of the tables that a row of the handbook contradicts, or that make the row one of another tube."""
    judges, book = court(), handbook()
    found: list[dict[str, object]] = []
    for name in sorted(judges.figures):
        figures = judges.figures[name]
        own = not figures.borrows  # what was taken from another type is told of that one
        if own and name not in judges.known.of_handbook:
            told = _told(book, judges, figures)
            other = bool(told.others)
            against = [one for one in told.said if not one.agrees]
            found += [
                asdict(one) | {"why": OWN if one.own else why_handbook(name, one.field, other)} for one in against
            ]
    return found
