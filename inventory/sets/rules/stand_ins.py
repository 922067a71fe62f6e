"""Words on what may stand in for a part of a set: where two contradict each other, both stand and it is told."""

import re
from collections import defaultdict
from collections.abc import Collection, Iterable
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


_HEATER = re.compile(r"heater|filament|heizung|heizfaden", re.IGNORECASE)
_SOLID = re.compile(
    r"silicon|silizium|germanium|solid[- ]state|semiconductor|(?<!\w)(?:zener|transistor|fet|mosfet)s?(?!\w)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class HeaterSaid:
    """What the words on a stand-in say of a heater in it: the tube type that it is, that it draws nothing, or neither.

    ``told``: that in words, as it stands behind the mark of its position.
    """

    told: str
    type: str = ""
    none: bool = False


def heater_said(instead: str, changes: str, wanted: str, types: Collection[str]) -> HeaterSaid:
    """What a stand-in draws as a heater, by its own words alone; what they leave open is not known.

    Semiconductors have no heater (common practice, no source); ``types``: names of tube types, ``wanted``: the one
    that it stands in for, which its words may name as well.
    """
    if _HEATER.search(f"{instead} {changes}"):
        return HeaterSaid(f"{instead}: its words speak of a heater or filament, read them; what it draws is not known")
    if _SOLID.search(instead):
        return HeaterSaid(f"{instead}: counted without heater current, as its words name a semiconductor", none=True)
    named = {word for word in re.findall(r"[\w/-]+", instead.upper()) if word in types} - {wanted}
    if len(named) == 1:
        (name,) = named
        return HeaterSaid(f"{instead}: counted with the heater of a {name}, which its words name", name)
    return HeaterSaid(f"{instead}: whether it draws heater current is not said, so what it draws is not known")
