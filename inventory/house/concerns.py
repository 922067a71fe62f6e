"""What higher areas have to say about things before a lower area moves, lends or lets them go.

A lower area may not import a higher one; it asks here. Higher areas register when Django starts them.
``holders``: are things somewhere that forbids moving them (in a set)? ``mates``: what belongs with them?
``promises``: to whom things are promised, asked before they leave for good.
``stays``: why a thing cannot have left on a day. ``upsets``: what another tube in a position would undo.
``readings``: what a test of a tube read last, for its label. ``carried``: what to mind when things are carried.
What they know of hazards: ``hazard_concerns``.
``reliances``: what would be left without them, asked before things leave; they are offered to anybody all the same.
``doubts``: what the last tests say against tubes. ``claims``: what counts on things, so that they are offered to nobody
else and do not leave unasked.
Answers are for many things at once, so that a box of a thousand costs no more questions than one thing.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

Answer = Callable[[Sequence[Any]], Mapping[int, list[str]]]

_holders: list[Answer] = []
_mates: list[Answer] = []


def register_holder(answer: Answer) -> None:
    """``answer(items)`` names by key what holds an item, for example "it is in Skerry 40 01432, V103"."""
    if answer not in _holders:
        _holders.append(answer)


def register_mates(answer: Answer) -> None:
    """``answer(items)`` names by key the things that are matched with an item and are not among the items."""
    if answer not in _mates:
        _mates.append(answer)


def _asked(answers: list[Answer], items: Sequence[Any]) -> dict[int, list[str]]:
    told: dict[int, list[str]] = defaultdict(list)
    for answer in answers if items else ():
        for key, texts in answer(items).items():
            told[key] += texts
    return {key: texts for key, texts in told.items() if texts}


def held_by_many(items: Sequence[Any]) -> dict[int, list[str]]:
    """What holds things at present, by key; things that nothing holds are left out."""
    return _asked(_holders, items)


def held_by(item: Any) -> list[str]:
    """What holds a thing at present."""
    return held_by_many([item]).get(item.pk, [])


def mates_of_many(items: Sequence[Any]) -> dict[int, list[str]]:
    """What belongs with things and would be left behind if just these went together, by key."""
    return _asked(_mates, items)


def mates_of(item: Any) -> list[str]:
    """What belongs with a thing and would be left behind if it went alone."""
    return mates_of_many([item]).get(item.pk, [])


def ties_between(item: Any, other: Any) -> list[str]:
    """What is left behind when a thing goes alone and would not be if the other went along: what ties it to that."""
    along = mates_of_many([item, other]).get(item.pk, [])
    return [words for words in mates_of(item) if words not in along]


_upsets: list[Callable[[Any, Any], list[str]]] = []


def register_upset(answer: Callable[[Any, Any], list[str]]) -> None:
    """``answer(chassis, position)`` names in words what another tube in that position would undo.

    ``chassis`` None: in every set of the model.
    """
    if answer not in _upsets:
        _upsets.append(answer)


def undone_by_another_tube(chassis: Any, position: Any) -> list[str]:
    """What holds now and would hold no more with another tube in a position of a chassis."""
    return [text for answer in _upsets for text in answer(chassis, position)]


_put_in: list[Callable[[Any, Any], None]] = []


def register_put_in(change: Callable[[Any, Any], None]) -> None:
    """``change(fitting, by)`` does what follows when a tube goes into a position to stay, in the same transaction."""
    if change not in _put_in:
        _put_in.append(change)


def put_in(fitting: Any, by: Any) -> None:
    """A tube went into a position to stay."""
    for change in _put_in:
        change(fitting, by)


_left: list[Callable[[Any, Any], None]] = []


def register_left(change: Callable[[Any, Any], None]) -> None:
    """``change(item, by)`` does what follows when a thing leaves the collection, in the same transaction."""
    if change not in _left:
        _left.append(change)


def left(item: Any, by: Any) -> None:
    """A thing left the collection."""
    for change in _left:
        change(item, by)


_promises: list[Answer] = []


def register_promise(answer: Answer) -> None:
    """``answer(items)`` names by key to whom things are promised: asked about before they leave for good."""
    if answer not in _promises:
        _promises.append(answer)


def promised_many(items: Sequence[Any]) -> dict[int, list[str]]:
    """To whom things are promised, in words, by key; things that nobody was promised are left out."""
    return _asked(_promises, items)


_stays: list[Callable[[Any, date], list[str]]] = []


def register_stay(answer: Callable[[Any, date], list[str]]) -> None:
    """``answer(item, on)`` tells in sentences why a thing cannot have left on a day: it holds others, was in use."""
    if answer not in _stays:
        _stays.append(answer)


def kept_from_leaving(item: Any, on: date) -> list[str]:
    """Why a thing cannot have left the collection on a day."""
    return [text for answer in _stays for text in answer(item, on)]


_readings: list[Callable[[Sequence[Any]], Mapping[int, str]]] = []


def register_reading(provider: Callable[[Sequence[Any]], Mapping[int, str]]) -> None:
    """``provider(items)`` gives by key the last reading of an item in words: reading/minimum, unit, instrument."""
    if provider not in _readings:
        _readings.append(provider)


def readings_of_many(items: Sequence[Any]) -> dict[int, str]:
    """What tests of things read last, by key; things without a test are left out."""
    told: dict[int, str] = {}
    for provider in _readings if items else ():
        told |= {key: words for key, words in provider(items).items() if words}
    return told


@dataclass(frozen=True, slots=True)
class Claim:
    """What counts on a thing. ``whose``: for what, in a word or two (the name of a plan); ``text``: all of it.

    ``number``: of a lot how many; ``place``: keys of the set and of the position that a tube is meant for.
    """

    whose: str
    text: str
    number: int | None = None
    place: tuple[int, int] | None = None


Claims = Callable[[set[int]], Mapping[int, list[Claim]]]

_claims: list[Claims] = []
_claimed: list[Callable[[], Any]] = []


def register_claim(answer: Claims, claimed: Callable[[], Any]) -> None:
    """``answer(keys)`` gives by key what counts on things, in a fixed number of queries.

    ``claimed()`` gives the keys of all single things that it would name, as a list of values for ``__in``.
    """
    if answer not in _claims:
        _claims.append(answer)
        _claimed.append(claimed)


def claims_of_many(keys: Iterable[int]) -> dict[int, list[Claim]]:
    """What counts on things, by key; things that nothing counts on are left out."""
    asked = set(keys)
    told: dict[int, list[Claim]] = defaultdict(list)
    for answer in _claims if asked else ():
        for key, claims in answer(asked).items():
            told[key] += claims
    return {key: claims for key, claims in told.items() if claims}


def claims_on_many(items: Sequence[Any]) -> dict[int, list[str]]:
    """The same in words, for example "reserved for Winter work, V103"."""
    found = claims_of_many(item.pk for item in items)
    return {key: [claim.text for claim in claims] for key, claims in found.items()}


def claims_on(item: Any) -> list[str]:
    """What counts on a thing, in words."""
    return claims_on_many([item]).get(item.pk, [])


def claims_elsewhere(item: Any, chassis: Any, position: Any) -> list[str]:
    """What counts on a thing, in words, but for that position of that set."""
    here = chassis.pk, position.pk
    return [claim.text for claim in claims_of_many([item.pk]).get(item.pk, ()) if claim.place != here]


def claimed_keys() -> list[Any]:
    """Lists of keys for ``__in``: the single things that something counts on."""
    return [keys() for keys in _claimed]


_reliances: list[Answer] = []


def register_reliance(answer: Answer) -> None:
    """``answer(items)`` names by key what is left without, once just these items go: "the only good spare of ..."."""
    if answer not in _reliances:
        _reliances.append(answer)


def relied_on_many(items: Sequence[Any]) -> dict[int, list[str]]:
    """What is left without things that go together, by key; things that nothing relies on are left out."""
    return _asked(_reliances, items)


@dataclass(frozen=True, slots=True)
class Doubt:
    """What the last tests of a thing say against it: a word or two ("reject", "shorted", "gas"), and of which day."""

    word: str
    on: date

    @property
    def text(self) -> str:
        return f"last test {self.word} ({self.on})"


_doubts: list[Callable[[Iterable[int]], Mapping[int, Doubt]]] = []


def register_doubts(provider: Callable[[Iterable[int]], Mapping[int, Doubt]]) -> None:
    """``provider(keys)`` gives by key what the last tests of a thing say against it, in a fixed number of queries."""
    if provider not in _doubts:
        _doubts.append(provider)


def doubts_of_many(keys: Iterable[int]) -> dict[int, Doubt]:
    """What speaks against things by their last tests, by key; things against which nothing speaks are left out."""
    asked = set(keys)
    told: dict[int, Doubt] = {}
    for provider in _doubts if asked else ():
        told |= provider(asked)
    return told


def doubt_of(item: Any) -> Doubt | None:
    """What speaks against a thing by its last tests."""
    return doubts_of_many([item.pk]).get(item.pk)


_carried: list[Callable[[Sequence[Any]], list[str]]] = []


def register_carried(answer: Callable[[Sequence[Any]], list[str]]) -> None:
    """``answer(items)`` says in sentences what to mind when just these things are carried elsewhere."""
    if answer not in _carried:
        _carried.append(answer)


def minded_when_carried(items: Sequence[Any]) -> str:
    """What to mind when things are carried elsewhere, as one paragraph; empty where nothing is."""
    return " ".join(text for answer in _carried if items for text in answer(items))
