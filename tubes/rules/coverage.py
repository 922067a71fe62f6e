"""How much the reference rows tell: types with the figures that a bench asks for first, pairs of kin with a verdict.

A pair is two types, in their order, that a checked row or the letters of their names relate, or that have one base and
one basing. It is answered where the judge says anything but ``not known``; what its place gives is assumed.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import permutations
from typing import Protocol

from tubes.rules.figures import TypeFigures
from tubes.rules.judge_parts import Judgement
from tubes.rules.relations import Relative

Judge = Callable[[str, str], Judgement]
Pairs = set[tuple[str, str]]


class Kin(Protocol):
    """Kinship of types, as ``tubes.rules.relations.Kinship`` gives it."""

    def same_as(self, name: str) -> frozenset[str]: ...
    def relatives(self, name: str) -> tuple[Relative, ...]: ...


@dataclass(frozen=True, slots=True)
class Asked:
    """Pairs that the judge was asked for, and those that it left open, by the check that did so (first of each)."""

    pairs: int
    answered: int
    by_check: Mapping[str, int] = field(default_factory=dict)

    @property
    def share(self) -> float | None:
        """Of all pairs, 0 to 1; None where there is none."""
        return round(self.answered / self.pairs, 4) if self.pairs else None

    def as_dict(self) -> dict[str, object]:
        return {
            "pairs": self.pairs,
            "answered": self.answered,
            "share": self.share,
            "left_open_by": dict(sorted(self.by_check.items(), key=lambda one: (-one[1], one[0]))),
        }


@dataclass(frozen=True, slots=True)
class Coverage:
    """Counts of types. ``figures``: of a figure, types that have it; ``grades``: figures in rows by grade;
    ``self_open``: types that are ``not known`` in their own place."""

    types: int
    figures: Mapping[str, int]
    kin: Asked
    pins: Asked
    both: Asked
    self_open: tuple[str, ...]
    grades: Mapping[str, int]

    def as_dict(self) -> dict[str, object]:
        return {
            "types": self.types,
            "with": dict(self.figures),
            "kin_pairs": self.both.as_dict() | {"related": self.kin.as_dict(), "same_pins": self.pins.as_dict()},
            "self_not_known": list(self.self_open),
            "grades": dict(self.grades),
        }


def cover(figures: Mapping[str, TypeFigures], kin: Kin, judge: Judge, grades: Mapping[str, int]) -> Coverage:
    """What the rows tell of these types. ``judge``: wanted type and candidate by name."""
    related, pins = related_pairs(figures, kin), pin_pairs(figures.values())
    told = {pair: judge(*pair) for pair in sorted(related | pins)}
    return Coverage(
        len(figures),
        {what: sum(has(one) for one in figures.values()) for what, has in _HAS.items()},
        _asked(related, told),
        _asked(pins, told),
        _asked(related | pins, told),
        tuple(name for name in sorted(figures) if judge(name, name).verdict == "not known"),
        grades,
    )


_HAS: Mapping[str, Callable[[TypeFigures], bool]] = {
    "any_figure": lambda one: bool(one.numbers or one.word("kind")),
    "heater_v": lambda one: "heater_v" in one.numbers or one.cold,
    "base_and_pins": lambda one: bool(one.word("base") and one.word("basing")),
    "gm_umho": lambda one: "gm_umho" in one.numbers,
}


def related_pairs(figures: Mapping[str, TypeFigures], kin: Kin) -> Pairs:
    """Pairs, both ways, that a checked row or the letters of their names relate."""
    found: Pairs = set()
    for name in figures:
        others = {one.type for one in kin.relatives(name) if not one.unchecked} | kin.same_as(name)
        found |= {(name, other) for other in others if other != name and other in figures}
    return found


def pin_pairs(types: Iterable[TypeFigures]) -> Pairs:
    """Pairs, both ways, of one base and one basing."""
    alike: dict[tuple[str, str], list[str]] = defaultdict(list)
    for one in types:
        if one.word("base") and one.word("basing"):
            alike[one.word("base"), one.word("basing")].append(one.name)
    return {pair for names in alike.values() for pair in permutations(names, 2)}


def _asked(pairs: Pairs, told: Mapping[tuple[str, str], Judgement]) -> Asked:
    open_by: dict[str, int] = defaultdict(int)
    answered = 0
    for pair in pairs:
        judgement = told[pair]
        if judgement.verdict != "not known":
            answered += 1
        else:
            open_by[next(iter(judgement.unknown), "no finding")] += 1
    return Asked(len(pairs), answered, open_by)
