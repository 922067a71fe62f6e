"""What higher areas know of hazards; as ``concerns``, for the register of hazards and labels.

``inside``: what stands in what. ``grounds``: why things are taken to bear a hazard. ``people``: whom to ask.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Inside:
    """What a thing stands in: its tag, the place of that (a path, or empty), and how: "in V103 of Skerry 40".

    ``away``: that the holder is lent or was not found, in words; empty where it is at hand.
    """

    holder: str
    path: str
    words: str
    away: str = ""


_inside: list[Callable[[], Mapping[int, Inside]]] = []


def register_inside(answer: Callable[[], Mapping[int, Inside]]) -> None:
    """``answer()`` gives by key what every thing stands in that is in another now, in a fixed number of queries."""
    if answer not in _inside:
        _inside.append(answer)


def inside_now() -> dict[int, Inside]:
    """By key what things stand in; things that are in no other are left out."""
    return {key: one for answer in _inside for key, one in answer().items()}


_grounds: list[Callable[[], Mapping[int, Sequence[Any]]]] = []


def register_grounds(answer: Callable[[], Mapping[int, Sequence[Any]]]) -> None:
    """``answer()`` gives by key why things bear hazards (each a ``Ground``), in a fixed number of queries."""
    if answer not in _grounds:
        _grounds.append(answer)


def grounds_now() -> dict[int, list[Any]]:
    """By key why things are taken to bear hazards, as higher areas know it."""
    told: dict[int, list[Any]] = defaultdict(list)
    for answer in _grounds:
        for key, some in answer().items():
            told[key] += some
    return dict(told)


_people: list[Callable[[], Sequence[tuple[str, str, str]]]] = []


def register_people(answer: Callable[[], Sequence[tuple[str, str, str]]]) -> None:
    """``answer()`` names whom of the house can be asked: (name, how to reach, about what)."""
    if answer not in _people:
        _people.append(answer)


def people_to_ask() -> list[tuple[str, str, str]]:
    """Whom of the house can be asked: (name, how to reach, about what)."""
    return [one for answer in _people for one in answer()]
