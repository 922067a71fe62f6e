"""Questions about tube knowledge. The effective rows: the keeper's own where there are any, the tables' elsewhere."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Q

from inventory.house.search import LONGEST
from tubes.models import KEEPER, TABLE, Designation, HandbookRow, JanMaker, Rating, RatingSource, Source, TubeType
from tubes.queries.keeping import kept
from tubes.rules import derived_marks
from tubes.rules.family import form_of, is_form_of
from tubes.rules.handbook_names import HandbookNames, another_tube, soviet_of
from tubes.rules.relations import REFUTED, Kinship, Relative, is_unchecked, kinship
from tubes.rules.sources import OWN_WORDS, best, grade_words, in_titles, told
from tubes.rules.stamp import DesignationRow, StampAnswer, StampTables, fold_key, read_stamp
from tubes.rules.tables import RATED_FIELDS
from tubes.rules.this_tube import ThisTube, form_marked, parts_read, this_tube

MOST_OFFERED = 12  # forms of a number, where the number alone names no type


@dataclass(frozen=True)
class MarkRow:
    """An effective designation row with what stands behind it."""

    type: str
    scheme: str
    designation: str
    relation: str
    note: str
    source: str
    origin: str
    pk: int = 0
    source_title: str = ""

    @property
    def unchecked(self) -> bool:
        return is_unchecked(self.note)

    @property
    def source_told(self) -> str:
        """The text it rests on by its title."""
        return in_titles(self.source, {self.source: self.source_title})


@dataclass(frozen=True, eq=False)
class Knowledge:
    """Everything known about marks, and the titles of the texts behind them, by key: ask it many times."""

    marks: tuple[MarkRow, ...]
    tables: StampTables
    kin: Kinship
    types: frozenset[str]
    refuted: tuple[MarkRow, ...] = ()
    titles: Mapping[str, str] = field(default_factory=dict)
    by_handbook: frozenset[str] = frozenset()  # types that a handbook of tests alone names
    of_handbook: frozenset[str] = frozenset()  # and those that bear a mark: its rows are their figures

    def read(self, text: str) -> StampAnswer:
        return read_stamp(text, self.tables)

    def other_forms(self, names: Iterable[str]) -> dict[str, str]:
        """Types in whose place a form named so may stand, with care: the type -> how the form differs from it.

        What a row forbids is left out.
        """
        names = list(names)
        forbidden = {one.type for name in names for one in self.kin.relatives(name) if one.never and not one.unchecked}
        found: dict[str, str] = {}
        for name in names:
            for other in self.kin.forms.others(name):
                between = self.kin.forms.between(other, name)
                if between and other not in forbidden and other not in names:
                    found.setdefault(other, between.words)
        return found

    def forms_of(self, numbers: Iterable[str]) -> list[str]:
        """Types that only add the letters of a form to one of these numbers, by name."""
        return sorted(name for name in self.types if any(is_form_of(name, number) for number in numbers))


def knowledge() -> Knowledge:
    """All effective marks, the stamp tables built from them and the kinship of types (one query, or a few once)."""
    return kept("knowledge", _built)


def _built() -> Knowledge:
    cells = ("type__name", "scheme", "designation", "relation", "note", "source__key", "origin", "pk", "source__title")
    rows = Designation.objects.order_by("id").values_list(*cells)
    by_mark: dict[tuple[str, str, str], MarkRow] = {}
    for row in (MarkRow(*row) for row in rows):
        key = (row.type, row.scheme, row.designation)
        if key not in by_mark or row.origin == KEEPER:
            by_mark[key] = row
    marks = tuple(row for row in by_mark.values() if row.relation != REFUTED)
    refuted = tuple(row for row in by_mark.values() if row.relation == REFUTED)
    titles = dict(Source.objects.values_list("key", "title"))
    marks += _by_rule(by_mark.values(), titles)
    makers = dict(JanMaker.objects.values_list("code", "maker").order_by("-origin"))  # keeper last: it wins
    types = list(TubeType.objects.values_list("name", "own_mark", "origin"))
    named = [name for name, own_mark, _ in types if not own_mark]
    plain = [DesignationRow(m.type, m.scheme, m.designation, m.relation, m.note) for m in marks]
    of_tables = {name for name, _, origin in types if origin == TABLE}
    book, of_handbook = _handbook_names(of_tables, {name for m in marks for name in (m.type, m.designation)})
    alone = frozenset(book.alone.values())
    tabled = {name for m in by_mark.values() if m.origin == TABLE for name in (m.type, m.designation)}
    return Knowledge(
        marks,
        StampTables.build(plain, makers, [name for name in named if name not in alone], book),
        kinship(plain, named, of_handbook - tabled),
        frozenset(name for name, *_ in types),
        refuted,
        titles,
        alone,
        of_handbook,
    )


def _by_rule(stated: Iterable[MarkRow], titles: Mapping[str, str]) -> tuple[MarkRow, ...]:
    """Marks that a rule gives; of one that the keeper refutes nothing is derived, nor one that he refutes."""
    rows = [DesignationRow(m.type, m.scheme, m.designation, m.relation, m.note) for m in stated]
    source = derived_marks.SOURCE
    return tuple(
        MarkRow(
            one.type, one.scheme, one.designation, one.relation, one.note, source, TABLE,
            source_title=titles.get(source, ""),
        )
        for one in derived_marks.joint_numbers(rows)
    )  # fmt: skip


def _handbook_names(of_tables: Collection[str], marked: Collection[str]) -> tuple[HandbookNames, frozenset[str]]:
    """What the handbook adds for readers of stamps, and the types that its rows are the figures of.

    A type that bears a mark by now is no longer its alone, but keeps its figures.
    """
    named = set()
    alone: dict[str, str] = {}
    another: dict[str, str] = {}
    row: dict[str, str] = {}
    soviet: dict[str, str] = {}
    cells = ("type", "names", "of_another", "electrodes", "heater_v", "base")
    for number, name, of_another, electrodes, volts, base in HandbookRow.objects.values_list(*cells):
        key = fold_key(number)
        row.setdefault(key, number)
        if name in of_tables:
            named.add(name)
        if name in of_tables and name not in marked and not of_another:
            alone[key] = name
        elif of_another:
            another[key] = another_tube(electrodes, volts, base)
        elif told := soviet_of(number):
            soviet[key] = told
    return HandbookNames(alone, soviet, another, row), frozenset(named)


def tube_for_stamp(answer: StampAnswer, known: Knowledge) -> ThisTube:
    """What a stamp settles of the tube that bears it, and the doubt where it settles no type."""
    return this_tube(answer, known.kin.same_as, known.types)


def type_for_stamp(answer: StampAnswer, known: Knowledge) -> str | None:
    """The one type that a tube with this stamp is, or None where the stamp leaves it open.

    A number that is only a lead, or that names a ruggedized or changed form, is counted under its own mark.
    """
    return tube_for_stamp(answer, known).type


def form_for_stamp(answer: StampAnswer, known: Knowledge) -> str:
    """The form of a known type that a stamp names where it settles no type (6SN7GTA); empty where it names none."""
    return form_marked(answer, tube_for_stamp(answer, known), known.kin.forms, known.types)


def type_named(text: str, known: Knowledge) -> str:
    """The type that a text names: by its name, else by a mark that has one meaning.

    Raises ValueError with one line that names the choices.
    """
    text = text.strip()
    for name in known.types:
        if name.casefold() == text.casefold():
            return name
    answer = known.read(text)
    if found := type_for_stamp(answer, known):
        return found
    meanings = sorted({r.type for r in answer.readings if r.type})
    if meanings:
        raise ValueError(f"{text!r} can mean {', '.join(meanings)}; write the type that it is.")
    if forms := known.forms_of([fold_key(text)]):
        more = f" and {len(forms) - MOST_OFFERED} more" if len(forms) > MOST_OFFERED else ""
        offered = ", ".join(forms[:MOST_OFFERED])
        raise ValueError(f"{text!r} is a number that comes in forms: {offered}{more}; write the one that it is.")
    if form := form_for_stamp(answer, known):
        of = known.kin.forms.base(form, known.types) or known.kin.forms.others(form)[0]
        raise ValueError(
            f"{form} is not in the tables; by its letters it is a form of {of}. Add it as a type of your own first "
            f"(Tube types, Add a type): what it lacks is taken from {of}; tubes so marked are settled on its page."
        )
    raise ValueError(answer.refused or f"{text!r} is not in the tables; add the type first.")


def type_or_form_named(text: str, known: Knowledge) -> str:
    """As ``type_named``; also a form of a known type that is no type itself, by its letters (6SN7GTA of 6SN7GT).

    Raises ValueError with one line where it is neither.
    """
    try:
        return type_named(text, known)
    except ValueError:
        name = "".join(text.split()).upper()
        if form_of(name) and known.kin.forms.others(name):
            return name
        raise


def find_type(text: str) -> TubeType:
    """The row of the type that a text names (see ``type_named``). Raises ValidationError."""
    exact = TubeType.objects.filter(name__iexact=text.strip()).first()
    if exact:
        return exact
    try:
        return TubeType.objects.get(name=type_named(text, knowledge()))
    except ValueError as fault:
        raise ValidationError(str(fault)) from fault


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


def types_named(text: str) -> frozenset[str]:
    """Names of types that ``text`` finds: by any mark (with all that are the same tube), else by a family number
    (6SN7: all its forms), else by part of a name.
    """
    known = knowledge()
    answer = known.read(text)
    found: set[str] = set()
    apart = parts_read(answer, tube_for_stamp(answer, known))
    for reading in () if apart else answer.readings:
        if reading.relation == "same" and reading.type and not is_unchecked(reading.note):
            found |= known.kin.same_as(reading.type)
        elif reading.designation in known.types:
            found.add(reading.designation)
    if found or not text.strip():
        return frozenset(found)
    key = fold_key(text)
    forms = known.forms_of([key])
    return frozenset(forms or (name for name in known.types if key and key in fold_key(name)))


def holding(field: str, text: str) -> Q:
    """A condition: a field of text holds this one, in any case; a figure more makes another number (6SN7, 6SN70)."""
    words = text.replace("\0", "").strip()
    if len(words) > LONGEST:
        return Q(pk__in=())
    if not (words[:1].isdigit() or words[-1:].isdigit()):
        return Q(**{f"{field}__icontains": words})
    before, behind = "(^|[^0-9])" * words[:1].isdigit(), "([^0-9]|$)" * words[-1:].isdigit()
    return Q(**{f"{field}__iregex": f"{before}{re.escape(words)}{behind}"})


def types_like(text: str, known: Knowledge, limit: int | None = 12) -> list[str]:
    """Names and marks that begin like ``text``, for somebody whose text means nothing as it stands."""
    key = fold_key(text)[:4]
    if len(key) < 2:
        return []
    names = {mark.designation for mark in known.marks if fold_key(mark.designation).startswith(key)}
    names |= {name for name in known.types if fold_key(name).startswith(key)}
    return sorted(names)[:limit]


def type_list(text: str = "") -> Any:
    """Types whose name or any mark contains ``text``, as a queryset ordered by name."""
    rows = TubeType.objects.all()
    if text.strip():
        names = types_named(text)
        rows = rows.filter(Q(name__in=names) | Q(name__icontains=text.strip()))
    return rows


def overrules_a_table(row: Designation) -> bool:
    """Whether a keeper's row speaks against the tables: it refutes one, or gives a mark of theirs another meaning."""
    if row.relation == REFUTED:
        return True
    there = Designation.objects.filter(scheme=row.scheme, designation=row.designation, origin=TABLE)
    return there.exclude(type=row.type, relation=row.relation).exists()


def mark_lists(rows: Iterable[TubeType]) -> list[tuple[TubeType, str, str]]:
    """Types with their kind and their marks in one line each, for a sheet of the list (two queries)."""
    rows = list(rows)
    marks: dict[int, list[str]] = {}
    found = Designation.objects.filter(type__in=rows, relation="same").exclude(note__contains="unchecked:")
    for type_id, designation in found.values_list("type_id", "designation"):
        marks.setdefault(type_id, []).append(designation)
    kinds = dict(Rating.objects.filter(type__in=rows).exclude(kind="").values_list("type_id", "kind"))
    return [
        (row, kinds.get(row.pk, "").replace("-", " "), ", ".join(dict.fromkeys(marks.get(row.pk, [])))) for row in rows
    ]
