"""Words on what may stand in for a part of a set: where two contradict each other, both stand and it is told."""

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

_MARK = re.compile(r"(?<!\w)[A-Z]{1,3}-?\d{1,4}[A-Z]?(?!\w)")  # a circuit mark: C12, LS1, V101A


@dataclass(frozen=True, slots=True)
class StandInWord:
    """Somebody's word. ``part``: what is replaced, ``instead``: by what; ``general``: the curated row followed."""

    key: int
    part: str
    instead: str
    serves: bool
    general: str = ""


def differing(words: Iterable[StandInWord]) -> frozenset[int]:
    """The keys of words of which another says the contrary of the same thing in the place of the same part."""
    alike: dict[tuple[str, str], list[StandInWord]] = defaultdict(list)
    for one in words:
        part = " ".join(one.part.casefold().split())
        for what in {" ".join(one.instead.casefold().split()), one.general and f"general {one.general}"} - {""}:
            alike[part, what].append(one)
    split = (group for group in alike.values() if len({one.serves for one in group}) > 1)
    return frozenset(one.key for group in split for one in group)


def same_part(one: str, other: str) -> bool:
    """Whether two texts name a part of one set by the same circuit mark, such as LS1; without marks nobody knows."""
    return bool(set(_MARK.findall(one)) & set(_MARK.findall(other)))
