"""What happened to a pair, a unit or a chassis as lanes on one time line: single days, stretches, and the states."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from inventory.pairing.rules.fold import PairFacts, state_of_pair

STATE = "state"


@dataclass(frozen=True, slots=True)
class Happening:
    """Something of one day, told in ``text``; ``struck``: why it counts no more."""

    day: date
    lane: str
    kind: str
    text: str
    struck: str = ""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Something that lasted from one day to another (``end`` None: it still does), with a word for the chart.

    ``short``: the same where there is little room, a serial or a tag; empty: the last word of it.
    """

    lane: str
    kind: str
    text: str
    start: date
    end: date | None = None
    short: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch as drawn: from ``left`` to ``right`` as parts of the whole time."""

    left: float
    right: float
    text: str
    kind: str
    short: str = ""


@dataclass(frozen=True, slots=True)
class Point:
    """A happening as drawn, at ``at`` as a part of the whole time."""

    at: float
    day: date
    text: str
    kind: str


@dataclass(frozen=True, slots=True)
class Lane:
    """One row of the chart."""

    name: str
    spans: tuple[Span, ...] = ()
    points: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Timeline:
    """The chart from ``first`` to ``last``. The same in words are the lines of the ledger and the states."""

    first: date
    last: date
    lanes: tuple[Lane, ...]


def timeline(
    happenings: Iterable[Happening], stretches: Iterable[Stretch], on: date, order: Sequence[str] = ()
) -> Timeline | None:
    """The time line up to the end of ``on``; None where nothing is on record.

    ``order``: the lanes that come first; the others follow by name. A struck happening is drawn as such.
    """
    points = sorted((h for h in happenings if h.day <= on), key=lambda h: (h.day, h.text))
    spans = sorted((s for s in stretches if s.start <= on), key=lambda s: (s.start, s.end or date.max, s.text))
    days = [h.day for h in points] + [s.start for s in spans]
    if not days:
        return None
    first = min(days)
    last = max(on, first + timedelta(days=1))
    whole = (last - first).days

    def part(day: date | None) -> float:
        return 1.0 if day is None else min(max((day - first).days / whole, 0.0), 1.0)

    places = {name: at for at, name in enumerate(order)}
    names = {h.lane for h in points} | {s.lane for s in spans}
    lanes = [
        Lane(
            name,
            tuple(Span(part(s.start), part(s.end), s.text, s.kind, s.short) for s in spans if s.lane == name),
            tuple(_point(h, part(h.day)) for h in points if h.lane == name),
        )
        for name in sorted(names, key=lambda name: (places.get(name, len(places)), name))
    ]
    return Timeline(first, last, tuple(lanes))


def _point(happening: Happening, at: float) -> Point:
    if happening.struck:
        return Point(at, happening.day, f"{happening.text} Struck out: {happening.struck}.", "struck")
    return Point(at, happening.day, happening.text, happening.kind)


def states_of(facts: PairFacts, on: date) -> list[Stretch]:
    """Stretches of one state of a pair, from its first event to the end of ``on``; none where nothing is on record."""
    days = sorted(day for day in _days(facts) if day <= on)
    stretches: list[Stretch] = []
    for day, after in pairwise([*days, on]):
        state = state_of_pair(facts, day).state
        if stretches and stretches[-1].text == state:
            stretches[-1] = Stretch(STATE, state, state, stretches[-1].start, after, state)
        else:
            stretches.append(Stretch(STATE, state, state, day, after, state))
    return stretches


def _days(facts: PairFacts) -> set[date]:
    days = {null.day for null in facts.nulls} | {use.day for use in facts.uses}
    days |= {u.day for u in facts.upsets if u.concerns(facts.unit, facts.chassis)}
    for stay in facts.stays:
        days |= {stay.start[0], *([stay.end[0]] if stay.end else [])}
    return days
