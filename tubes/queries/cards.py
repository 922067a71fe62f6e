"""What is known of one type: its marks, its relatives and its figures with the texts behind them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from tubes.models import KEEPER, TABLE, Rating, RatingSource, TubeType
from tubes.queries.marks import Knowledge, MarkRow, knowledge
from tubes.rules.relations import Relative
from tubes.rules.sources import OWN_WORDS, best, grade_words, told
from tubes.rules.tables import RATED_FIELDS


@dataclass(frozen=True)
class FigureCell:
    """One figure of a type with the texts behind it; ``refs``: (source title, key, grade as kept) of each.

    ``tables``: what the tables say, where that is something else than the keeper's own, with its grade in words.
    """

    field: str
    label: str
    value: Any
    origin: str
    refs: tuple[tuple[str, str, str], ...]
    tables: Any = None
    tables_grade: str = ""

    @property
    def grade(self) -> str:
        """How sure it is, one of ``sources.TOLD``."""
        return told(best(grade for _, _, grade in self.refs), self.origin == KEEPER)

    @property
    def grades(self) -> str:
        """The same in words."""
        return grade_words(self.grade) if self.refs else "no source"

    @property
    def texts(self) -> tuple[tuple[str, str], ...]:
        """Title and key of the texts that it rests on; memory is none."""
        return tuple((title, key) for title, key, _ in self.refs if key not in OWN_WORDS)


@dataclass(frozen=True)
class TypeCard:
    """What is known of one type."""

    name: str
    hazard: str
    own_mark: bool
    marks: tuple[MarkRow, ...]
    relatives: tuple[Relative, ...]
    same: tuple[str, ...]
    figures: tuple[FigureCell, ...]

    @property
    def keeper_marks(self) -> tuple[MarkRow, ...]:
        """The marks that are the keeper's own rows."""
        return tuple(mark for mark in self.marks if mark.origin == KEEPER)


def effective_figures(type_name: str) -> tuple[FigureCell, ...]:
    """The filled figures of a type: the keeper's own first, then the tables', each with its sources."""
    rows = Rating.objects.filter(type__name=type_name).prefetch_related("sources__source")
    by_origin = {row.origin: row for row in rows}
    cells = []
    for name in RATED_FIELDS:
        for origin in (KEEPER, TABLE):
            row = by_origin.get(origin)
            value = getattr(row, name) if row else None
            if row is None or value in (None, ""):
                continue
            label = str(Rating._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
            cells.append(FigureCell(name, label, value, origin, _refs(row, name), *_of_tables(by_origin, row, name)))
            break
    return tuple(cells)


def _refs(row: Rating, name: str) -> tuple[tuple[str, str, str], ...]:
    return tuple((s.source.title, s.source.key, s.grade) for s in row.sources.all() if s.field == name)


def _of_tables(by_origin: Mapping[str, Rating], row: Rating, name: str) -> tuple[Any, str]:
    """What the tables say of a figure of the keeper's own, and how sure that is, where it is something else."""
    there = by_origin.get(TABLE) if row.origin == KEEPER else None
    value = getattr(there, name) if there is not None else None
    if there is None or value in (None, "") or value == getattr(row, name) or name == "note":
        return None, ""
    return value, grade_words(told(best(grade for _, _, grade in _refs(there, name))))


def figure_of(names: Iterable[str], figure: str) -> dict[str, tuple[float, str]]:
    """One figure of several types with its grade (two queries); the keeper's own stands before the tables'."""
    given = Rating.objects.filter(type__name__in=set(names)).exclude(**{f"{figure}__isnull": True})
    rows = list(given.select_related("type"))
    grades = dict(RatingSource.objects.filter(rating__in=rows, field=figure).values_list("rating_id", "grade"))
    rows.sort(key=lambda row: row.origin == KEEPER)
    return {row.type.name: (getattr(row, figure), grades.get(row.pk, "no source")) for row in rows}


def type_card(name: str, known: Knowledge | None = None) -> TypeCard:
    """All that is known of a type. Raises TubeType.DoesNotExist."""
    row = TubeType.objects.get(name=name)
    known = known or knowledge()
    same = known.kin.same_as(name)
    marks = tuple(m for m in known.marks if m.type in same or (m.designation == name and row.own_mark))
    marks += tuple(m for m in known.refuted if m.type in same)
    others = tuple(r for r in known.kin.relatives(name) if r.relation != "same" or r.unchecked)
    return TypeCard(
        name, row.caution, row.own_mark, marks, others, tuple(sorted(same - {name})), effective_figures(name)
    )
