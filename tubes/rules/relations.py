"""Which tube types are the same tube, and how the others are related.

A row of the designation table says: the thing marked D (in scheme S) is, for type T, ``same`` (both ways),
``ruggedized`` (may stand in for the plain type, not the reverse), ``variant`` or ``near`` (what differs is noted).
Rows noted ``unchecked:`` are leads: they are listed as such and never join two types.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from tubes.rules.stamp import DesignationRow

SAME, RUGGEDIZED, VARIANT, NEAR = "same", "ruggedized", "variant", "near"
PLAIN_FORM = "plain form"  # the way back along `ruggedized`: does not stand in
REFUTED = "refuted"  # only the keeper's own rows: "this row of the tables is not so"
RELATIONS = (SAME, RUGGEDIZED, VARIANT, NEAR)
_RANK = {SAME: 0, RUGGEDIZED: 1, VARIANT: 2, NEAR: 3, PLAIN_FORM: 4}

# In these schemes a designation that is also the name of a type means that type. Elsewhere it need not: the Soviet
# 6A7 is the American 6SA7, and the American 6A7 is another tube.
CIVIL_SCHEMES = frozenset({"eia-industrial", "pro-electron", "maker", "obsolete-civil"})


def is_unchecked(note: str) -> bool:
    """True for a row that its compiler could not confirm: a lead, never advice."""
    return "unchecked:" in note


@dataclass(frozen=True, slots=True)
class Relative:
    """A type related to another, seen from that other one."""

    type: str
    relation: str
    note: str

    @property
    def unchecked(self) -> bool:
        return is_unchecked(self.note)


def own_type_marks(rows: Iterable[DesignationRow], types: Iterable[str]) -> frozenset[str]:
    """Marks that name a tube of their own: no checked row calls them the same as a type of the tables.

    A tube stamped 6SN7WGT is no plain 6SN7GT, and one stamped with a number that is only a lead is not yet anything
    else: both are counted under their own mark.
    """
    known = set(types)
    marks: dict[tuple[str, str], bool] = {}
    for row in rows:
        settled = row.relation == SAME and not is_unchecked(row.note)
        marks[row.scheme, row.designation] = marks.get((row.scheme, row.designation), False) or settled
    return frozenset(mark for (_, mark), settled in marks.items() if not settled) - known


@dataclass(frozen=True)
class Kinship:
    """Equivalence classes and relatives of every type, computed once from the effective rows."""

    classes: Mapping[str, frozenset[str]]
    _relatives: Mapping[str, tuple[Relative, ...]] = field(repr=False)

    def same_as(self, name: str) -> frozenset[str]:
        """All types that are the same tube as ``name``, itself included."""
        return self.classes.get(name, frozenset({name}))

    def relatives(self, name: str) -> tuple[Relative, ...]:
        """Related types, closest first: the same tube under another name, what may stand in, then the rest."""
        return self._relatives.get(name, ())


def kinship(rows: Iterable[DesignationRow], types: Iterable[str]) -> Kinship:
    """Fold the designation rows into equivalence classes (closure of ``same``) and directed relatives."""
    rows = list(rows)
    names = set(types) | own_type_marks(rows, types) | {row.type for row in rows}
    own_marks = own_type_marks(rows, types)
    things = _types_behind_marks(rows, names, own_marks)
    classes = _closure(names, things, _told_apart(rows, names))

    found: dict[str, dict[tuple[str, str], Relative]] = defaultdict(dict)

    def note_relative(of: str, other: str, relation: str, note: str) -> None:
        if other == of or (other in classes.get(of, ()) and relation != SAME):
            return
        old = found[of].get((other, relation))
        if old is None or (old.unchecked and not is_unchecked(note)):
            found[of][other, relation] = Relative(other, relation, note)

    for members in classes.values():
        for one in members:
            for other in members:
                note_relative(one, other, SAME, "")
    for row in rows:
        backward = PLAIN_FORM if row.relation == RUGGEDIZED else row.relation
        for thing in things[row.scheme, row.designation] or {row.designation} & names:
            if row.relation == SAME and not is_unchecked(row.note):
                continue
            for one in classes.get(row.type, {row.type}):
                note_relative(one, thing, row.relation, row.note)
            for one in classes.get(thing, {thing}):
                note_relative(one, row.type, backward, row.note)

    relatives = {
        name: tuple(sorted(each.values(), key=lambda r: (r.unchecked, _RANK.get(r.relation, 9), r.type)))
        for name, each in found.items()
    }
    return Kinship(classes, relatives)


def _types_behind_marks(
    rows: list[DesignationRow], names: set[str], own_marks: frozenset[str]
) -> dict[tuple[str, str], set[str]]:
    """For each (scheme, mark): the types that a tube with this mark is, by checked ``same`` rows or by its name."""
    things: dict[tuple[str, str], set[str]] = defaultdict(set)
    for row in rows:
        mark = (row.scheme, row.designation)
        if row.relation == SAME and not is_unchecked(row.note):
            things[mark].add(row.type)
        names_a_type = row.designation in names and (row.scheme in CIVIL_SCHEMES or row.designation in own_marks)
        if names_a_type:
            things[mark].add(row.designation)
        things.setdefault(mark, set())
    return things


def _told_apart(rows: list[DesignationRow], names: set[str]) -> set[frozenset[str]]:
    """Pairs of types that a row relates otherwise than ``same``: a shared number (VT-62: 801, 801A) joins them not."""
    return {frozenset((row.type, row.designation)) for row in rows if row.relation != SAME and row.designation in names}


def _closure(
    names: set[str], things: Mapping[tuple[str, str], set[str]], told_apart: set[frozenset[str]]
) -> dict[str, frozenset[str]]:
    """Equivalence classes: types that share a mark are one tube, and so on along the chain."""
    leader = {name: name for name in names}

    def find(name: str) -> str:
        while leader[name] != name:
            leader[name] = leader[leader[name]]
            name = leader[name]
        return name

    for same in things.values():
        first, *others = sorted(same) or [""]
        for other in others:
            if frozenset((first, other)) in told_apart:
                continue
            leader[find(other)] = find(first)
    groups: dict[str, set[str]] = defaultdict(set)
    for name in names:
        groups[find(name)].add(name)
    return {name: frozenset(group) for group in groups.values() for name in group}
