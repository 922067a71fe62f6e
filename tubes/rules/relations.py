"""Which tube types are the same tube, and how the others are related.

A row of the designation table says: the thing marked D (in scheme S) is, for type T, ``same`` (both ways),
``ruggedized`` (may stand in for the plain type, not the reverse), ``variant`` or ``near`` (what differs is noted).
Rows noted ``unchecked:`` are leads: they are listed as such and never join two types.
"""

import re
from collections import defaultdict
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import combinations

from tubes.rules.forms import Forms
from tubes.rules.lending import Lender, Lenders
from tubes.rules.schemes import CIVIL_SCHEMES
from tubes.rules.stamp import DesignationRow

SAME, RUGGEDIZED, VARIANT, NEAR = "same", "ruggedized", "variant", "near"
PLAIN_FORM = "plain form"  # the way back along `ruggedized`: does not stand in
REFUTED = "refuted"  # only the keeper's own rows: "this row of the tables is not so"
RELATIONS = (SAME, RUGGEDIZED, VARIANT, NEAR)
_RANK = {SAME: 0, RUGGEDIZED: 1, VARIANT: 2, NEAR: 3, PLAIN_FORM: 4}


def is_unchecked(note: str) -> bool:
    """True for a row that its compiler could not confirm: a lead, never advice."""
    return "unchecked:" in note


# What the tables say of plugging a glass tube in, in fixed words: nothing to mind of one that is taken out.
_GOING_IN = re.compile(r"(?:; )?a glass tube in an r\.f\. or i\.f\. socket may need a shield")


def without_shield(note: str) -> str:
    """A note without the shield that a glass tube may need: where it is taken out, or that is told by its form."""
    return _GOING_IN.sub("", note)


def is_never(note: str) -> bool:
    """True for a row that forbids what it relates: ``never plug one for the other``."""
    return "never plug" in note.casefold()


@dataclass(frozen=True, slots=True)
class Relative:
    """A type related to another, seen from that other one."""

    type: str
    relation: str
    note: str
    form: str = ""  # how its form differs, where the two are forms of one number
    derived: bool = False  # by its letters alone, no row of the tables says so
    told_of: str = ""  # the row stands the other way round: its note tells of this type, that it is seen from

    @property
    def unchecked(self) -> bool:
        return is_unchecked(self.note)

    @property
    def never(self) -> bool:
        return is_never(self.note)

    @property
    def said(self) -> str:
        """The note, with which of the two it tells of where that is the one that the relative is seen from."""
        return f"of {self.told_of} itself is said: {self.note}" if self.note and self.told_of else self.note


def _own_marks(rows: Iterable[DesignationRow]) -> frozenset[tuple[str, str]]:
    """(scheme, mark) of every mark that no checked row calls the same as a type."""
    settled: dict[tuple[str, str], bool] = {}
    for row in rows:
        mark = (row.scheme, row.designation)
        settled[mark] = settled.get(mark, False) or _joins(row)
    return frozenset(mark for mark, done in settled.items() if not done)


def _joins(row: DesignationRow) -> bool:
    return row.relation == SAME and not is_unchecked(row.note)


def own_type_marks(rows: Iterable[DesignationRow], types: Iterable[str]) -> frozenset[str]:
    """Marks that name a tube of their own: no checked row calls them the same as a type of the tables.

    A tube stamped 6SN7WGT is no plain 6SN7GT, and one stamped with a number that is only a lead is not yet anything
    else: both are counted under their own mark.
    """
    return frozenset(mark for _, mark in _own_marks(rows)) - set(types)


# By type, by (relative, relation): notes, and whether the row stands the other way round.
Notes = dict[str, dict[tuple[str, str], list[tuple[str, bool]]]]


@dataclass(frozen=True)
class Kinship:
    """Equivalence classes and relatives of every type, computed once from the effective rows."""

    classes: Mapping[str, frozenset[str]]
    _relatives: Mapping[str, tuple[Relative, ...]] = field(repr=False)
    forms: Forms = field(repr=False)

    def same_as(self, name: str) -> frozenset[str]:
        """All types that are the same tube as ``name``, itself included."""
        return self.classes.get(name, frozenset({name}))

    def relatives(self, name: str) -> tuple[Relative, ...]:
        """Related types, closest first: the same tube under another name, what may stand in, then the rest."""
        return self._relatives.get(name, ())

    def relative(self, name: str, other: str) -> Relative | None:
        """How ``other`` is related to ``name`` by the closest row that somebody checked, or by its letters."""
        return next((one for one in self.relatives(name) if one.type == other and not one.unchecked), None)


def kinship(rows: Iterable[DesignationRow], types: Iterable[str], of_every_maker: Iterable[str] = ()) -> Kinship:
    """Fold the designation rows into equivalence classes (closure of ``same``) and directed relatives.

    ``of_every_maker``: types of which a list of all makers is the only witness (see ``Forms.of``).
    """
    rows = list(rows)
    names = set(types) | own_type_marks(rows, types) | {row.type for row in rows}
    things = types_behind_marks(rows, names)
    classes = _closure(names, things, told_apart_pairs(rows, things))

    notes: Notes = defaultdict(lambda: defaultdict(list))
    for members in classes.values():
        for one in members:
            for other in members - {one}:
                notes[one][other, SAME].append(("", False))
    for row in rows:
        if _joins(row):
            continue
        backward = PLAIN_FORM if row.relation == RUGGEDIZED else row.relation
        for thing in things[row.scheme, row.designation]:
            for one in classes.get(row.type, frozenset({row.type})):
                for other in classes.get(thing, frozenset({thing})) - classes.get(row.type, frozenset({row.type})):
                    notes[one][other, row.relation].append((row.note, False))
                    notes[other][one, backward].append((row.note, True))
    forms = replace(Forms.of(names, rows, of_every_maker), lenders=_lenders(rows, things, classes))
    relatives = {name: _with_forms(name, _listed(name, notes.get(name, {})), classes, forms) for name in names}
    return Kinship(classes, {name: found for name, found in relatives.items() if found}, forms)


def _lenders(
    rows: list[DesignationRow], things: Mapping[tuple[str, str], set[str]], classes: Mapping[str, frozenset[str]]
) -> Lenders:
    """For each type: the types that checked rows relate it to as ruggedized or, saying how, as a variant."""
    found: dict[str, dict[str, Lender]] = defaultdict(dict)
    for row in sorted(rows, key=lambda one: one.relation != RUGGEDIZED):
        if row.relation not in (RUGGEDIZED, VARIANT) or is_unchecked(row.note) or is_never(row.note):
            continue
        if row.relation == VARIANT and not row.note:
            continue
        for thing in things[row.scheme, row.designation]:
            for one in classes.get(thing, frozenset({thing})) - classes.get(row.type, frozenset({row.type})):
                found[one].setdefault(row.type, Lender(row.type, row.relation, without_shield(row.note)))
    return {name: tuple(lenders.values()) for name, lenders in found.items()}


def _with_forms(
    name: str, listed: tuple[Relative, ...], classes: Mapping[str, frozenset[str]], forms: Forms
) -> tuple[Relative, ...]:
    """Relatives with how their forms differ, and those forms of one number that no checked row relates."""
    found = []
    for one in listed:
        between = None if one.relation == SAME else forms.between(name, one.type)
        found.append(replace(one, form=between.words) if between else one)
    told = {one.type for one in listed if not one.unchecked} | classes.get(name, frozenset())
    for other in forms.others(name):
        between = forms.between(name, other)
        if between is None or other in told:
            continue
        back = forms.between(other, name)
        plain = back is not None and back.ruggedized and back.stands_in
        relation = RUGGEDIZED if between.ruggedized and between.stands_in else PLAIN_FORM if plain else VARIANT
        found.append(Relative(other, relation, f"another form of {name}: {between.words}", between.words, derived=True))
    return tuple(sorted(found, key=_closeness))


def _closeness(one: Relative) -> tuple[bool, int, str]:
    return one.unchecked, _RANK.get(one.relation, 9), one.type


def _listed(name: str, found: Mapping[tuple[str, str], list[tuple[str, bool]]]) -> tuple[Relative, ...]:
    """Relatives of a type in order. A relation that any checked row states is told by the checked rows' notes alone.

    A row that stands the right way round goes before one that is read backwards.
    """
    relatives = []
    for (other, relation), rows in found.items():
        checked = [row for row in rows if not is_unchecked(row[0])] or rows
        forward = [row for row in checked if row[0] and not row[1]] or [row for row in checked if row[0]]
        told = "; ".join(sorted({note for note, _ in forward}))
        told_of = name if any(back for _, back in forward) else ""
        told = without_shield(told) if told_of else told
        relatives.append(Relative(other, relation, told, told_of=told_of))
    return tuple(sorted(relatives, key=_closeness))


def types_behind_marks(rows: list[DesignationRow], names: set[str]) -> dict[tuple[str, str], set[str]]:
    """For each (scheme, mark): the types that a tube with this mark is, by checked ``same`` rows or by its name."""
    own_marks = _own_marks(rows)
    elsewhere = {row.type for row in rows} | {row.designation for row in rows if row.scheme != "soviet"}
    things: dict[tuple[str, str], set[str]] = defaultdict(set)
    for row in rows:
        mark = (row.scheme, row.designation)
        if _joins(row):
            things[mark].add(row.type)
        if row.designation in names and (
            row.scheme in CIVIL_SCHEMES or (mark in own_marks and not _foreign(row, elsewhere))
        ):
            things[mark].add(row.designation)
        things.setdefault(mark, set())
    return things


# P miniature, S glass: no American number ends so (common practice, no source).
_SOVIET_BUILD = re.compile(r"[0-9]+[A-Z]+[0-9]+[PS](?:-[A-Z]+)?")


def _foreign(row: DesignationRow, elsewhere: Container[str]) -> bool:
    """A Soviet mark that looks American in Latin letters: it names that American tube only by a ``same`` row.

    One that bears a Soviet letter of build (6N3P) and that no other row names is a tube by itself.
    """
    if row.scheme != "soviet" or not row.designation[:1].isdigit():
        return False
    return row.designation in elsewhere or not _SOVIET_BUILD.fullmatch(row.designation)


def told_apart_pairs(rows: list[DesignationRow], things: Mapping[tuple[str, str], set[str]]) -> set[frozenset[str]]:
    """Pairs of types that a checked row relates otherwise than ``same``: a shared number does not join these.

    VT-62 names 801 and 801A, and another row calls them near.
    """
    return {
        frozenset((row.type, thing))
        for row in rows
        if row.relation != SAME and not is_unchecked(row.note)
        for thing in things[row.scheme, row.designation]
        if thing != row.type
    }


def pair_sources(rows: Iterable[tuple[DesignationRow, str]], kin: Kinship) -> dict[frozenset[str], tuple[str, ...]]:
    """For each two related types: the keys of the texts behind the checked rows that relate them."""
    rows = list(rows)
    plain = [row for row, _ in rows]
    names = set(kin.classes) | {row.type for row in plain}
    things = types_behind_marks(plain, names)
    found: dict[frozenset[str], dict[str, None]] = defaultdict(dict)
    for row, source in rows:
        if is_unchecked(row.note):
            continue
        for one in kin.same_as(row.type):
            for thing in things[row.scheme, row.designation]:
                for other in kin.same_as(thing) - {one}:
                    found[frozenset((one, other))][source] = None
    return {pair: tuple(sources) for pair, sources in found.items()}


def _closure(
    names: set[str], things: Mapping[tuple[str, str], set[str]], told_apart: set[frozenset[str]]
) -> dict[str, frozenset[str]]:
    """Equivalence classes: types that share a mark are one tube, and so on along the chain, unless told apart."""
    group = {name: {name} for name in names}
    for mark in sorted(things):
        for one, other in combinations(sorted(things[mark]), 2):
            left, right = group[one], group[other]
            if left is right or any(frozenset((a, b)) in told_apart for a in left for b in right):
                continue
            left |= right
            for name in right:
                group[name] = left
    frozen = {id(members): frozenset(members) for members in group.values()}
    return {name: frozen[id(members)] for name, members in group.items()}
