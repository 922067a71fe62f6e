"""The figures that the page of a type shows: those of its rows, and what a handbook alone tells of it."""

from dataclasses import replace

from tubes.models import TABLE, Rating
from tubes.queries.cards import FigureCell, TypeCard
from tubes.queries.gaps import own_otherwise
from tubes.queries.judging import Court, court
from tubes.rules.figures import Figure, Word
from tubes.rules.sources import DERIVED, HANDBOOK
from tubes.rules.tables import RATED_FIELDS


def figures_on_page(card: TypeCard, judges: Court | None = None) -> tuple[FigureCell, ...]:
    """The figures of a card with those that a handbook gives where no row has them (the queries of ``court``).

    An own figure stands with what tables or handbook say otherwise.
    """
    judges = judges or court()
    cells = {cell.field: cell for cell in card.figures}
    figures = judges[card.name]
    told = (HANDBOOK, DERIVED) if card.name in judges.known.of_handbook else (HANDBOOK,)
    known: list[tuple[str, Figure | Word]] = [*figures.words.items(), *figures.numbers.items()]
    for name, found in known:
        if name in RATED_FIELDS and name not in cells and found.grade in told and not found.via:
            texts = tuple((judges.known.titles.get(key, key), key, found.grade) for key in found.source.split(", "))
            label = str(Rating._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
            cells[name] = FigureCell(name, label, found.value, TABLE, texts)
    for one in own_otherwise().get(card.name, ()):
        if one.field in cells and cells[one.field].tables is None:
            cells[one.field] = replace(cells[one.field], tables=one.tables, tables_grade=one.grade)
    return tuple(cells[name] for name in RATED_FIELDS if name in cells)
