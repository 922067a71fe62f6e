"""What higher areas have to say about a thing before a lower area moves, lends or lets it go.

A lower area may not import a higher one; it asks here. Higher areas register when Django starts them.
``holders``: is the thing somewhere that forbids moving it (in a set)? ``mates``: what belongs with it?
"""

from collections.abc import Callable
from typing import Any

Answer = Callable[[Any], list[str]]

_holders: list[Answer] = []
_mates: list[Answer] = []


def register_holder(answer: Answer) -> None:
    """``answer(item)`` names what holds the item, for example "it is in Skerry 40 01432, V103"."""
    if answer not in _holders:
        _holders.append(answer)


def register_mates(answer: Answer) -> None:
    """``answer(item)`` names the things that are matched with the item and should stay with it."""
    if answer not in _mates:
        _mates.append(answer)


def held_by(item: Any) -> list[str]:
    """What holds a thing at present."""
    return [text for answer in _holders for text in answer(item)]


def mates_of(item: Any) -> list[str]:
    """What belongs with a thing."""
    return [text for answer in _mates for text in answer(item)]
