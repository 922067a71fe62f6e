"""What the one search box finds in the areas: things and rows that a text names."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from django.db.models import CharField, Q, QuerySet, Value
from django.db.models.functions import Concat
from django.db.models.lookups import IExact

from inventory.house.concerns import claims_on_many, doubts_of_many, held_by_many

SHOWN = 8  # of each kind
SHORTEST_WORD = 3  # letters, of words that are looked for inside of names
MOST_WORDS = 10  # different words of a text; each is a condition of its own, and a database bounds how many it takes
LONGEST = 1000  # letters of a text; nothing that is looked through is longer, and a database bounds what it compares


@dataclass(frozen=True)
class Found:
    """One row that a text finds: what kind it is, its name, where it is or why it was found, its page.

    ``in_doubt``: what the last tests of a thing say against it, in a word; the words name it too.
    """

    kind: str
    name: str
    words: str
    url: str
    in_doubt: str = ""


@dataclass(frozen=True)
class Finds:
    """What a text finds of one kind: the first rows, and how many there are of it."""

    kind: str
    rows: tuple[Found, ...]
    count: int

    @property
    def more(self) -> int:
        return self.count - len(self.rows)


def finds(kind: str, rows: QuerySet[Any], tell: Callable[[Any], tuple[str, str]]) -> list[Finds]:
    """The first rows of one kind with their count (two queries); nothing where there are none.

    ``tell`` gives the name of a row and the words beside it; its page is its ``get_absolute_url``.
    """
    return _finds(kind, rows, [Found(kind, *tell(row), row.get_absolute_url()) for row in rows[:SHOWN]])


def thing_finds(
    kind: str,
    rows: QuerySet[Any],
    tell: Callable[[Any], tuple[str, str]],
    item_of: Callable[[Any], Any] = attrgetter("item"),
) -> list[Finds]:
    """As above, of things of the register: behind the words, where each is, what speaks against it, what counts on it.

    ``item_of`` gives the thing of a row. What holds things and what is said of them is asked for all at once.
    """
    shown = list(rows[:SHOWN])
    items = [item_of(row) for row in shown]
    held = held_by_many(items)
    doubts, claims = doubts_of_many(item.pk for item in items), claims_on_many(items)
    first = []
    for row, item in zip(shown, items, strict=True):
        (name, words), doubt = tell(row), doubts.get(item.pk)
        beside = [doubt.text if doubt else "", *claims.get(item.pk, ())]
        words = told(words, place_words(item, held.get(item.pk, ())), *beside)
        first.append(Found(kind, name, words, row.get_absolute_url(), doubt.word if doubt else ""))
    return _finds(kind, rows, first)


def listed(kind: str, rows: QuerySet[Any], found: Callable[[Any], Found]) -> list[Finds]:
    """As ``finds``, of rows that have no page of their own: ``found`` makes the find of a row."""
    return _finds(kind, rows, [found(row) for row in rows[:SHOWN]])


def _finds(kind: str, rows: QuerySet[Any], first: Sequence[Found]) -> list[Finds]:
    return [Finds(kind, tuple(first), rows.count() if len(first) == SHOWN else len(first))] if first else []


def different_words(text: str) -> list[str]:
    """The words of a text, each once whatever its case, in their order."""
    return list({word.casefold(): word for word in reversed(text.replace("\0", "").split())}.values())[::-1]


def words_of(text: str) -> list[str]:
    """The words of a text that are looked for: the first different ones, a bounded number."""
    return different_words(text[:LONGEST])[:MOST_WORDS]


def worded(text: str, *fields: str) -> Q | None:
    """A condition: every word stands in one of the fields; None where the text is too short to look for."""
    if sum(map(len, text.replace("\0", "").split())) < SHORTEST_WORD:
        return None
    every = Q()
    for word in words_of(text):
        every &= Q.create([(f"{field}__icontains", word) for field in fields], connector=Q.OR)
    return every


def begins(text: str, field: str) -> Q | None:
    """A condition: a number begins so; None for what is too short or bears no figure, and would find half the house."""
    if len(text) < SHORTEST_WORD or not any(map(str.isdigit, text)):
        return None
    return Q(**{f"{field}__istartswith": text})


def called(text: str, *fields: str) -> Q:
    """A condition: two columns read one after the other are this text, as names stand on pages: a model, a serial."""
    words = " ".join(re.sub(r"\((?:no serial|serial unreadable)\)\s*$", "", text).split())
    both = Concat(fields[0], Value(" "), fields[1], output_field=CharField())
    return Q(IExact(both, words))


def told(*words: Any) -> str:
    """Words beside a find, the empty ones left out."""
    return ", ".join(filter(None, map(str, words)))


def place_words(item: Any, held: Iterable[str] = ()) -> str:
    """Where a thing is, in words. ``held``: what holds it, as ``house.concerns`` tells it: "it is in ... V103"."""
    if item.gone_on:
        return f"left on {item.gone_on}"
    if item.lent_to:
        return f"lent to {item.lent_to}"
    return in_words(held) or (item.place.path if item.place else "no place")


def in_words(held: Iterable[str]) -> str:
    """What holds a thing, behind its name: "in ... V103"; empty where nothing does."""
    return " and ".join(one.removeprefix("it ").removeprefix("is ") for one in held)


def searched(answers: Iterable[Callable[[str], Any] | None], text: str) -> tuple[Finds, ...]:
    """What some searches find, in their order; a text longer than any name or number is none."""
    asked = text.replace("\0", "").strip()
    if len(asked) > LONGEST:
        return ()
    return tuple(one for answer in answers if answer and asked for one in answer(asked))
