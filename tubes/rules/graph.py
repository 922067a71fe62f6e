"""What the reference rows say of each other: cycles and contradictions, each with the rows that make it.

Relations are directed: ``ruggedized`` leads from the plain type to the one that may stand in for it. Types that are the
same tube count as one. Rows that are only leads (``unchecked:``) accuse nobody.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass

from tubes.rules.explained import why_marks
from tubes.rules.relations import (
    RUGGEDIZED,
    SAME,
    Kinship,
    is_unchecked,
    kinship,
    told_apart_pairs,
    types_behind_marks,
)
from tubes.rules.stamp import DesignationRow, fold_key


@dataclass(frozen=True, slots=True)
class MarkFact:
    """A designation row: the thing marked ``designation`` is ``relation`` to ``type``."""

    type: str
    scheme: str
    designation: str
    relation: str
    note: str
    source: str
    origin: str

    @property
    def plain(self) -> DesignationRow:
        return DesignationRow(self.type, self.scheme, self.designation, self.relation, self.note)


@dataclass(frozen=True, slots=True)
class FigureFact:
    """A cell of the ratings of a type."""

    type: str
    field: str
    value: float | str
    source: str
    origin: str


@dataclass(frozen=True, slots=True)
class Cycle:
    """A way round of ``ruggedized`` rows that comes back to where it began."""

    types: tuple[str, ...]
    rows: tuple[MarkFact, ...]

    def as_dict(self) -> dict[str, object]:
        return {"relation": RUGGEDIZED, "types": list(self.types), "rows": [asdict(row) for row in self.rows]}


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Rows that cannot all be right."""

    kind: str
    types: tuple[str, ...]
    text: str
    rows: tuple[MarkFact | FigureFact, ...]

    def as_dict(self) -> dict[str, object]:
        return {
            "kind": self.kind,
            "types": list(self.types),
            "text": self.text,
            "rows": [asdict(row) for row in self.rows],
            "why": why_marks(self.types),
        }


@dataclass(frozen=True, slots=True)
class Findings:
    """What was found, and how much was looked at (``leads``: rows that are only leads)."""

    rows: int
    leads: int
    types: int
    classes: int
    cycles: tuple[Cycle, ...]
    contradictions: tuple[Contradiction, ...]

    def as_dict(self) -> dict[str, object]:
        return {
            "rows": self.rows,
            "leads": self.leads,
            "types": self.types,
            "classes": self.classes,
            "cycles": [cycle.as_dict() for cycle in self.cycles],
            "contradictions": [one.as_dict() for one in self.contradictions],
        }


# Figures that one tube under two names cannot have two of. Maximum ratings are left out: makers printed several.
ONE_VALUE = ("kind", "cathode", "base", "basing", "cap", "heater_v", "heater_a")

Things = Mapping[tuple[str, str], set[str]]


def check_rows(marks: Iterable[MarkFact], figures: Iterable[FigureFact], types: Iterable[str]) -> Findings:
    """Cycles and contradictions of the reference rows (effective ones: what the keeper refuted is left out before)."""
    marks, types = list(marks), set(types)
    sure = [row for row in marks if not is_unchecked(row.note)]
    plain = [row.plain for row in marks]
    kin = kinship(plain, types)
    things = types_behind_marks(plain, types | {row.type for row in marks})
    found = [
        *_mark_of_two_types(sure, kin),
        *_two_relations(sure, kin),
        *_same_and_apart(sure, plain, things, kin),
        *figure_contradictions(figures, kin),
    ]
    classes = {kin.same_as(name) for name in types}
    return Findings(
        len(marks), len(marks) - len(sure), len(types), len(classes), tuple(_cycles(sure, things, kin)), tuple(found)
    )


def _head(name: str, kin: Kinship) -> str:
    """The name under which a class of types is counted."""
    return min(kin.same_as(name))


def _cycles(sure: list[MarkFact], things: Things, kin: Kinship) -> Iterator[Cycle]:
    """Ways round along ``ruggedized``, shortest first; a type ruggedized of itself is one."""
    import networkx as nx  # takes a fifth of a second to load: only when asked

    graph: nx.DiGraph[str] = nx.DiGraph()
    behind: dict[tuple[str, str], list[MarkFact]] = defaultdict(list)
    for row in sure:
        if row.relation != RUGGEDIZED:
            continue
        for thing in sorted(things[row.scheme, row.designation]):
            edge = (_head(row.type, kin), _head(thing, kin))
            graph.add_edge(*edge)
            behind[edge].append(row)
    for knot in sorted(map(sorted, nx.strongly_connected_components(graph))):
        inside = graph.subgraph(knot)
        if inside.number_of_edges() == 0:
            continue
        steps = list(nx.find_cycle(inside))
        rows = tuple(row for step in steps for row in behind[step[0], step[1]])
        yield Cycle(tuple(step[0] for step in steps), rows)


def _mark_of_two_types(sure: list[MarkFact], kin: Kinship) -> Iterator[Contradiction]:
    """One mark of one scheme that is called the same as two types which are not one tube."""
    by_mark: dict[tuple[str, str], list[MarkFact]] = defaultdict(list)
    for row in sure:
        if row.relation == SAME:
            by_mark[row.scheme, row.designation].append(row)
    for (_, mark), rows in sorted(by_mark.items()):
        heads = {_head(row.type, kin) for row in rows}
        if len(heads) > 1:
            names = tuple(sorted({row.type for row in rows}))
            text = f"{mark} is called the same as {' and as '.join(names)}, which are told apart."
            yield Contradiction("one mark, two types", names, text, tuple(rows))


def _two_relations(sure: list[MarkFact], kin: Kinship) -> Iterator[Contradiction]:
    """One mark that stands in two relations to one tube."""
    by_pair: dict[tuple[str, str], list[MarkFact]] = defaultdict(list)
    for row in sure:
        by_pair[_head(row.type, kin), fold_key(row.designation)].append(row)
    for _, rows in sorted(by_pair.items()):
        relations = sorted({row.relation for row in rows})
        # A Soviet mark in Latin letters can read like an American one and be another tube.
        alike = len({row.scheme == "soviet" for row in rows}) == 1
        if len(relations) > 1 and alike:
            names = tuple(sorted({row.type for row in rows}))
            text = f"{rows[0].designation} is called {' and '.join(relations)} to {' / '.join(names)}."
            yield Contradiction("one mark, two relations", names, text, tuple(rows))


def _same_and_apart(
    sure: list[MarkFact], plain: list[DesignationRow], things: Things, kin: Kinship
) -> Iterator[Contradiction]:
    """Two types that some rows join as the same tube while another says how they differ."""
    shared: dict[frozenset[str], list[MarkFact]] = defaultdict(list)
    for row in sure:
        if row.relation == SAME:
            for thing in things[row.scheme, row.designation] - {row.type}:
                shared[frozenset((row.type, thing))].append(row)
    for pair in sorted(told_apart_pairs(plain, things), key=sorted):
        one, other = sorted(pair)
        if pair not in shared and other not in kin.same_as(one):
            continue
        apart = [
            row
            for row in sure
            if row.relation != SAME
            and row.type in pair
            and things[row.scheme, row.designation] & (set(pair) - {row.type})
        ]
        relations = " and ".join(sorted({row.relation for row in apart}))
        text = f"{one} and {other} are joined as the same tube, and called {relations}."
        yield Contradiction("same and told apart", (one, other), text, (*shared[pair], *apart))


def figure_contradictions(figures: Iterable[FigureFact], kin: Kinship) -> Iterator[Contradiction]:
    """Names of one tube with figures that one tube cannot have two of."""
    by_class: dict[tuple[str, str], list[FigureFact]] = defaultdict(list)
    for fact in figures:
        if fact.field in ONE_VALUE:
            by_class[_head(fact.type, kin), fact.field].append(fact)
    for (_, field), rows in sorted(by_class.items()):
        values = {row.value for row in rows}
        if len(values) > 1:
            names = tuple(sorted({row.type for row in rows}))
            told = ", ".join(f"{row.type} {row.value}" for row in rows)
            text = f"One tube with two values of {field.replace('_', ' ')}: {told}."
            yield Contradiction("figures differ", names, text, tuple(rows))
