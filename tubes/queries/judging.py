"""Questions to the judge: what it needs is fetched once, then any number of pairs are judged."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TypeVar

from tubes.models import KEEPER, TABLE, Basing, Limit, Rating, RatingSource, TubeType
from tubes.queries.handbook_rows import handbook
from tubes.queries.keeping import kept
from tubes.queries.marks import Knowledge, knowledge
from tubes.rules import basing as pins
from tubes.rules import limits as bounds
from tubes.rules.family import number_of
from tubes.rules.figures import Figure, TypeFigures, Word, form_like, known_type
from tubes.rules.forms import SOURCES, as_form, with_figures, with_forms
from tubes.rules.handbook import Handbook
from tubes.rules.handbook_figures import figures_alone
from tubes.rules.handbook_held import Held, held, settled
from tubes.rules.judge import Bench, judge
from tubes.rules.judge_parts import CARE, FITS, UNKNOWN, Conditions, Finding, Judgement
from tubes.rules.relations import SAME, is_unchecked, pair_sources
from tubes.rules.sources import FROM_MEMORY, best, told
from tubes.rules.stamp import DesignationRow
from tubes.rules.tables import FIGURES, KEPT_WORDS

_OF_LIMIT = ("key", "value", "unit", "meaning", "source__key", "origin", "source__title")


def limits(titles: Mapping[str, str] | None = None) -> bounds.Limits:
    """The limits that rules judge by; the keeper's own stand before the tables' (at most one query of the rows).

    A limit of the keeper's own that the tables have no more is in force no more: no rule asks for it. ``titles``: of
    all texts (``Knowledge.titles``), for rules that name texts of no limit.
    """
    return kept("limits", _limits) if titles is None else _limits(titles)


def _limits(titles: Mapping[str, str] | None = None) -> bounds.Limits:
    found: dict[str, bounds.Limit] = {}
    for row in Limit.objects.order_by("-origin").values_list(*_OF_LIMIT):  # keeper last: it wins
        limit = bounds.Limit(*row)
        if limit.origin == TABLE or limit.key in found:
            found[limit.key] = limit
    return bounds.Limits(found, titles)


def limit_rows() -> list[Limit]:
    """A row for each limit with its text, by key; the keeper's own before the tables' (one query)."""
    rows = Limit.objects.order_by("key", "-origin").select_related("source")
    return list({row.key: row for row in rows}.values())


def basings() -> dict[str, pins.Basing]:
    """Electrodes by pin for each basing code; the keeper's own stand before the tables' (one query)."""
    rows = Basing.objects.order_by("-origin").values_list("code", "socket", "pins", "source__key")
    return {code: pins.Basing(code, socket, pins.parse_pins(text), source) for code, socket, text, source in rows}


@dataclass(frozen=True)
class OwnFigures:
    """Of types that the keeper has figures of: which, and what they are by the tables alone.

    ``tables`` names also the types that are the same tube under another name.
    """

    fields: Mapping[str, frozenset[str]] = field(default_factory=dict)
    tables: Mapping[str, TypeFigures] = field(default_factory=dict)

    def holds(self, figures: TypeFigures, name: str) -> bool:
        """Whether a figure of a type is the keeper's own."""
        found = figures.numbers.get(name) or figures.words.get(name)
        return found is not None and name in self.fields.get(found.via or figures.name, ())


Behind = dict[str, tuple[list[str], list[str]]]  # by figure: grades and keys of the texts behind it


def rated_rows() -> Iterator[tuple[Rating, Behind]]:
    """Rows of figures with the texts behind each figure, the keeper's own after the tables' (two queries).

    Rows that are only leads are left out: nothing may rest on them.
    """
    texts: dict[int, Behind] = defaultdict(dict)
    for pk, name, grade, key in RatingSource.objects.order_by("pk").values_list(
        "rating_id", "field", "grade", "source__key"
    ):
        grades, keys = texts[pk].setdefault(name, ([], []))
        grades.append(grade)
        keys.append(key)
    for row in sorted(Rating.objects.select_related("type"), key=lambda one: one.origin == KEEPER):
        if not is_unchecked(row.note):
            yield row, texts.get(row.pk, {})


def _figures_by_type(origin: str = "") -> dict[str, tuple[dict[str, Figure], dict[str, Word]]]:
    """Every filled figure of every type with its grade and source (two queries); the keeper's own win.

    A note of the keeper's goes before the table's, whose fixed words (sections, other heater connection) stay readable.
    ``origin``: of those rows alone.
    """
    found: dict[str, tuple[dict[str, Figure], dict[str, Word]]] = {}
    for row, behind in rated_rows():
        if origin and row.origin != origin:
            continue
        numbers, words = found.setdefault(row.type.name, ({}, {}))
        for name in FIGURES:
            if (value := getattr(row, name)) is not None:
                numbers[name] = Figure(value, *_standing(behind, name, row.origin))
        for name in (*KEPT_WORDS, "note"):
            if value := getattr(row, name):
                word = Word(value, *_standing(behind, name, row.origin), own=row.origin == KEEPER)
                before = words.get("note") if name == "note" else None
                both = f"{value}; {before.value}" if before else value
                words[name] = replace(word, value=both, parts=(word, before)) if before else word
    return found


def _standing(behind: Behind, name: str, origin: str) -> tuple[str, str]:
    """Grade and texts of a figure: the surest grade of those that its texts give it."""
    grades, keys = behind.get(name, ([FROM_MEMORY], [FROM_MEMORY]))
    return told(best(grades), origin == KEEPER), ", ".join(dict.fromkeys(keys))


@dataclass(frozen=True)
class Court:
    """All that the judge needs of every type, fetched in eight queries: ask it many times."""

    known: Knowledge
    figures: Mapping[str, TypeFigures]
    limits: bounds.Limits
    basings: Mapping[str, pins.Basing]
    own: OwnFigures = field(default_factory=OwnFigures)
    held: Mapping[str, Held] = field(default_factory=dict)  # types whose own row of the handbook contradicts their kin

    @cached_property
    def bench(self) -> Bench:
        marks = [
            (DesignationRow(m.type, m.scheme, m.designation, m.relation, m.note), m.source) for m in self.known.marks
        ]
        return Bench(self.limits, self.basings, self.known.kin, pair_sources(marks, self.known.kin))

    def judge(self, wanted: str, candidate: str, conditions: Conditions) -> Judgement:
        """The judgement on one pair of type names. Types without any figure are judged as not known."""
        told = judge(self[wanted], self[candidate], conditions, self.bench)
        rank = FITS if wanted == candidate else CARE
        names = [name for name in dict.fromkeys((wanted, candidate)) if name not in self.known.types]
        assumed = [self._assumed(name, rank) for name in names]
        return replace(told, findings=(*assumed, *told.findings)) if assumed else told

    def _assumed(self, name: str, rank: int) -> Finding:
        """That a name is in no table, list or row of the keeper's, and what its letters are taken to mean."""
        forms = self.known.kin.forms
        of = forms.base(name, self.known.types) or next(iter(forms.others(name)), "")
        between = forms.between(of, name) if of else None
        if between is None:
            return Finding("name", UNKNOWN, None, name, None, f"No table names {name}.", "")
        what = "a later issue" if between.words.startswith("a later issue") else f"another form ({between.words})"
        text = f"No table names {name}; taken as {what} of {of}, by its letters alone."
        return Finding("name", rank, of, name, None, text, SOURCES)

    def judge_all(self, wanted: str, conditions: Conditions, among: Iterable[str] | None = None) -> list[Judgement]:
        """Judgements on all types but the wanted one, best first."""
        names = self.figures if among is None else among
        told = [self.judge(wanted, name, conditions) for name in names if name != wanted]
        return sorted(told, key=_order)

    def __getitem__(self, name: str) -> TypeFigures:
        found = self.figures.get(name)
        return found or as_form(TypeFigures(name), self.known.kin.forms, with_figures(self.figures))


def _order(judgement: Judgement) -> tuple[int, bool, int, str]:
    """Best first: by verdict, relatives before strangers, then by the sum of the findings."""
    kin = judgement.of("kinship") is not None
    return judgement.rank, not kin, sum(finding.rank for finding in judgement.findings), judgement.candidate


def figures_told(name: str, judges: Court | None = None) -> list[dict[str, object]]:
    """What is known of a type, figure by figure, with grade and texts (the queries of ``court``).

    ``of``: the type in whose row a figure stands, where that is another one.
    """
    one = (judges or court())[name]
    cells = []
    held: list[tuple[str, Figure | Word]] = [(key, one.words[key]) for key in (*KEPT_WORDS, "bias") if key in one.words]
    held += [(key, one.numbers[key]) for key in FIGURES if key in one.numbers]
    for key, found in held:
        cell: dict[str, object] = {"figure": key, "value": found.value, "grade": found.grade, "source": found.source}
        cells.append(cell | ({"of": found.via} if found.via else {}))
    return cells


Known = TypeVar("Known", Figure, Word)


def _lent(others: Iterable[tuple[str, Mapping[str, Known]]], own: Mapping[str, Known]) -> dict[str, Known]:
    """What the same tube under other names states and this one does not; where those differ, nothing is known."""
    found: dict[str, list[Known]] = {}
    for other, given in others:
        for key, figure in given.items():
            if key not in own:
                found.setdefault(key, []).append(replace(figure, via=other))
    return {key: figures[0] for key, figures in found.items() if len({f.value for f in figures}) == 1 or key == "note"}


def court(known: Knowledge | None = None) -> Court:
    """Everything the judge needs. A figure that a type lacks is taken from the row of the same tube, else from that of
    the type it is a form of, and says so.

    It is kept until a row of tube knowledge changes. ``known``: what the caller has fetched already.
    """
    if known is None or known is knowledge():
        return kept("court", lambda: _convened(knowledge()))
    return _convened(known)


def double_families() -> frozenset[str]:
    """Family numbers (``rules.family``) of tubes of two sections, as the judge takes them (queries of ``court``)."""
    return frozenset(number_of(name) for name, one in court().figures.items() if one.form.sections == 2)


def _convened(known: Knowledge) -> Court:
    rows = _figures_by_type()
    cautions = {row.name: row.caution for row in TubeType.objects.exclude(table_caution="", hazard="")}
    book = handbook() if known.of_handbook else None
    figures = {}
    for name in known.types:
        own_numbers, own_words = rows.get(name, ({}, {}))
        if book and name in known.of_handbook:  # the keeper's own figures stand before those of the handbook
            numbers, words = figures_alone(book.rows_of(name)[0])
            own_numbers, own_words = {**numbers, **own_numbers}, {**words, **own_words}
        numbers, words = dict(own_numbers), dict(own_words)
        others = sorted(known.kin.same_as(name) - {name})
        numbers |= _lent([(other, rows[other][0]) for other in others if other in rows], own_numbers)
        words |= _lent([(other, rows[other][1]) for other in others if other in rows], own_words)
        like = rows.get(form_like(words["note"].value), ({}, {}))[1].get("note") if "note" in words else None
        one = known_type(name, numbers, words, cautions.get(name, ""), like.value if like else "")
        figures[name] = replace(one, lends=name not in known.of_handbook)
    diagrams = basings()
    against = _held(known, book, figures, diagrams) if book else {}
    figures |= {name: settled(figures[name], one) for name, one in against.items()}
    told = with_forms(figures, known.kin.forms)
    return Court(known, told, limits(known.titles), diagrams, _own_figures(known), against)


def notes_of_marks(known: Knowledge) -> dict[str, list[str]]:
    """The notes of checked marks by the type, and by the number, that they speak of."""
    notes: dict[str, list[str]] = defaultdict(list)
    for mark in known.marks:
        if mark.note and not mark.unchecked:
            for name in {mark.type, mark.designation}:
                notes[name].append(mark.note)
    return notes


def _held(
    known: Knowledge, book: Handbook, figures: Mapping[str, TypeFigures], diagrams: Mapping[str, pins.Basing]
) -> dict[str, Held]:  # fmt: skip
    """What rows of types whose figures they are say otherwise than the type that these take from, or their marks."""
    notes = notes_of_marks(known)
    also: dict[str, list[str]] = defaultdict(list)
    for mark in known.marks:
        if mark.relation == SAME and not mark.unchecked:
            also[mark.type].append(mark.designation)
            also[mark.designation].append(mark.type)
    rated = with_figures(figures)
    told = {
        name: held(
            name, book.rows_of(name)[0], notes.get(name, ()), book, rated, known.kin, diagrams, also.get(name, ())
        )
        for name in sorted(known.of_handbook & figures.keys())
    }
    return {name: one for name, one in told.items() if one is not None}


def _own_figures(known: Knowledge) -> OwnFigures:
    """The keeper's own figures apart from those of the tables (one query, three where he has any)."""
    written = {row.type.name: row for row in Rating.objects.filter(origin=KEEPER).select_related("type")}
    if not written:
        return OwnFigures()
    fields = {
        name: frozenset(one for one in (*KEPT_WORDS, *FIGURES, "note") if getattr(row, one) not in (None, ""))
        for name, row in written.items()
    }
    rows = _figures_by_type(TABLE)
    tables = {}
    for name in {same for one in written for same in known.kin.same_as(one) | {one}}:
        numbers, words = rows.get(name, ({}, {}))
        others = [rows[other] for other in sorted(known.kin.same_as(name) - {name}) if other in rows]
        numbers = {**numbers, **_lent([("", one[0]) for one in others], numbers)}
        tables[name] = known_type(name, numbers, {**words, **_lent([("", one[1]) for one in others], words)})
    return OwnFigures(fields, tables)
