"""What lacks of types, and where the keeper's own figures differ from those of the tables."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tubes.models import KEEPER, Rating
from tubes.queries import knowledge
from tubes.queries.handbook_rows import handbook
from tubes.queries.judging import Court, court, rated_rows
from tubes.queries.keeping import kept
from tubes.rules.figures import Figure, Word, cutoff_in
from tubes.rules.gaps import LABELS, lacking
from tubes.rules.handbook import Handbook, figures_alone
from tubes.rules.sources import best, grade_words, told
from tubes.rules.tables import FIGURES, KEPT_WORDS


def gaps_of_types(judges: Court | None = None) -> Mapping[str, tuple[str, ...]]:
    """By type that is known by name: what lacks of it, where anything does (the queries of ``court``)."""
    return kept("gaps", lambda: _gaps(court())) if judges is None else _gaps(judges)


def _gaps(judges: Court) -> dict[str, tuple[str, ...]]:
    found = {name: lacking(one, judges.basings) for name, one in judges.figures.items()}
    return {name: what for name, what in found.items() if what}


def lacking_words(name: str) -> str:
    """What lacks of one type, in words (the queries of ``court``)."""
    return ", ".join(LABELS[one] for one in gaps_of_types().get(name, ()))


@dataclass(frozen=True, slots=True)
class Otherwise:
    """A figure of the keeper's own that the tables give otherwise; ``grade`` in words and ``source`` are of theirs."""

    type: str
    field: str
    own: float | str
    tables: float | str
    grade: str
    source: str

    def as_dict(self) -> dict[str, object]:
        return {
            "type": self.type, "field": self.field, "own": self.own, "tables": self.tables, "grade": self.grade,
            "source": self.source,
        }  # fmt: skip


def own_otherwise() -> Mapping[str, tuple[Otherwise, ...]]:
    """By type: own figures that differ from the tables'. The own ones stand; nothing is overwritten (three queries)."""
    return kept("own_otherwise", _own_otherwise)


def _said(row: Rating, field: str) -> Any:
    """A figure of a row; a cutoff may stand in the words of its note."""
    return getattr(row, field) or (cutoff_in(row.note) if field == "cutoff" else getattr(row, field))


def _beside_handbook(row: Rating, book: Handbook) -> list[Otherwise]:
    """Own figures of a type of which the tables have the rows of a handbook alone."""
    numbers, words = figures_alone(book.rows_of(row.type.name)[0])
    stated: dict[str, Figure | Word] = {**words, **numbers}
    return [
        Otherwise(row.type.name, field, own, one.value, grade_words(one.grade), one.source)
        for field, one in stated.items()
        if (own := getattr(row, field)) not in (None, "", one.value)
    ]


def _own_otherwise() -> dict[str, tuple[Otherwise, ...]]:
    tables, found = {}, {}
    of_handbook, book = knowledge().of_handbook, handbook()
    for row, behind in rated_rows():  # the keeper's own come last
        name = row.type.name
        if row.origin != KEEPER:
            tables[name] = row, behind
        elif name in tables:
            theirs, texts = tables[name]
            told_of = []
            for field in (*KEPT_WORDS, *FIGURES):
                own, other = _said(row, field), _said(theirs, field)
                if own in (None, "") or other in (None, "") or own == other:
                    continue
                grades, keys = texts.get(field, ([], []))
                words = grade_words(told(best(grades)))
                told_of.append(Otherwise(name, field, own, other, words, ", ".join(keys)))
            if told_of:
                found[name] = tuple(told_of)
        elif name in of_handbook and (told_of := _beside_handbook(row, book)):
            found[name] = tuple(told_of)
    return found
