"""What higher areas have to say of a part that nobody has: the keeper's own words on what does its work.

Asked by the search for parts of the register, as ``concerns`` are asked. Higher areas register when Django starts them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class WordOnPart:
    """Somebody's word that something does the work of a part of one set model, or does not. ``general``: the
    key of the general entry that it follows; ``told``: as JSON holds it; ``page``: where it stands.
    """

    set_model: str
    part: str
    instead: str
    word: str
    differs: bool
    caution: str
    source: str
    general: str
    page: str
    told: dict[str, Any]


_answers: list[Callable[[], list[WordOnPart]]] = []


def register_words_on_parts(answer: Callable[[], list[WordOnPart]]) -> None:
    """``answer()`` gives every such word that stands."""
    if answer not in _answers:
        _answers.append(answer)


def words_on_parts() -> list[WordOnPart]:
    """All of them, in a fixed number of queries."""
    return [one for answer in _answers for one in answer()]
