"""Marks of tube types, and everything that is known of them at once. The keeper's own rows stand before the tables'."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from tubes.models import KEEPER, TABLE, Designation, HandbookRow, JanMaker, Source, TubeType
from tubes.queries.keeping import kept
from tubes.rules import derived_marks
from tubes.rules.family import is_form_of
from tubes.rules.handbook_names import HandbookNames, another_tube, soviet_of, two_tubes
from tubes.rules.relations import REFUTED, Kinship, is_unchecked, kinship
from tubes.rules.sources import in_titles
from tubes.rules.stamp import DesignationRow, StampAnswer, StampTables, fold_key, read_stamp


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
    spelt = []
    cells = ("type", "names", "of_another", "electrodes", "heater_v", "base")
    for number, name, of_another, electrodes, volts, base in HandbookRow.objects.values_list(*cells):
        key = fold_key(number)
        row.setdefault(key, number)
        spelt.append((number, electrodes, volts, base))
        if name in of_tables:
            named.add(name)
        if name in of_tables and name not in marked and not of_another:
            alone[key] = name
        elif of_another:
            another[key] = another_tube(electrodes, volts, base)
        elif told := soviet_of(number):
            soviet[key] = told
    return HandbookNames(alone, soviet, another, row, two_tubes(spelt)), frozenset(named)


def overrules_a_table(row: Designation) -> bool:
    """Whether a keeper's row speaks against the tables: it refutes one, or gives a mark of theirs another meaning."""
    if row.relation == REFUTED:
        return True
    there = Designation.objects.filter(scheme=row.scheme, designation=row.designation, origin=TABLE)
    return there.exclude(type=row.type, relation=row.relation).exists()
