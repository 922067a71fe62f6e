"""Words on what may stand in for a part of a set: where two contradict each other, both stand and it is told."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass


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
