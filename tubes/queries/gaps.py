"""What lacks of types, and where the keeper's own figures differ from those of the tables."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from tubes.models import KEEPER, TABLE, Basing, Rating
from tubes.queries.handbook_rows import handbook
from tubes.queries.judging import Court, court, rated_rows
from tubes.queries.keeping import kept
from tubes.queries.marks import knowledge
from tubes.rules.basing import parse_pins
from tubes.rules.figures import Figure, Word, cutoff_in
from tubes.rules.gaps import LABELS, lacking
from tubes.rules.handbook import Handbook, alike
from tubes.rules.handbook_figures import figures_alone
from tubes.rules.sources import best, grade_of, grade_words, told
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
    """By type: own figures that differ from the tables'. The own ones stand; nothing is overwritten (six queries)."""
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
        if (own := getattr(row, field, None)) not in (None, "")
        and not alike(field, own, one.value)
        and not (field == "heater_v" and alike(field, own, numbers.get("alt_heater_v", one).value))
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
    for name, more in _drawn_otherwise():
        found[name] = (*found.get(name, ()), more)
    return found


def _drawn_otherwise() -> Iterator[tuple[str, Otherwise]]:
    """Types on a diagram of the keeper's own whose code the tables draw otherwise by now."""
    own = {row.code: row for row in Basing.objects.filter(origin=KEEPER)}
    tables = Basing.objects.filter(origin=TABLE, code__in=own).select_related("source")
    theirs = {row.code: row for row in tables if dict(parse_pins(row.pins)) != dict(parse_pins(own[row.code].pins))}
    on_it = Rating.objects.filter(basing__in=theirs).order_by("type__name", "-origin")
    for name, code in dict(on_it.values_list("type__name", "basing")).items():
        drawn, key = theirs[code], theirs[code].source.key
        grade = grade_words(told(grade_of(key)))
        yield name, Otherwise(name, "basing", f"drawn {own[code].pins}", f"drawn {drawn.pins}", grade, key)
