"""A pair's history as lanes on one time line: what was done and what upset it, the tubes that were in, the states."""

from dataclasses import dataclass
from datetime import date, timedelta

from inventory.pairing.rules.events import END_OF_DAY, Moment, TubeStay
from inventory.pairing.rules.fold import IN_UNIT, PairFacts, state_of_pair


@dataclass(frozen=True, slots=True)
class Span:
    """Something that lasted: from ``left`` to ``right`` as parts of the whole time, with a word and a kind."""

    left: float
    right: float
    text: str
    kind: str


@dataclass(frozen=True, slots=True)
class Point:
    """Something of one day, at ``at`` as a part of the whole time."""

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
    """The chart of a pair from ``first`` to ``last``, and the same in sentences."""

    first: date
    last: date
    lanes: tuple[Lane, ...]
    sentences: tuple[str, ...]


def timeline(facts: PairFacts, on: date) -> Timeline | None:
    """The time line up to the end of ``on``; None where nothing is on record."""
    days = sorted(day for day in _days(facts) if day <= on)
    if not days:
        return None
    first, last = days[0], max(on, days[0] + timedelta(days=1))
    whole = (last - first).days

    def part(day: date) -> float:
        return min(max((day - first).days / whole, 0.0), 1.0)

    states = _states(facts, days, on)
    lanes = [
        Lane("state", tuple(Span(part(a), part(b), state, state) for a, b, state in states)),
        Lane("neutralized", points=tuple(Point(part(d), d, text, "null") for d, text in _own_nulls(facts, on))),
        Lane("other partners", points=tuple(Point(part(d), d, text, "other") for d, text in _others(facts, on))),
        Lane("disturbed", points=tuple(Point(part(d), d, text, "upset") for d, text in _upsets(facts, on))),
    ]
    for position in sorted({stay.position for stay in facts.stays}):
        spans = [
            Span(part(stay.start[0]), part(stay.end[0] if stay.end else last), stay.tube, "tube")
            for stay in sorted(facts.stays, key=_began)
            if stay.position == position and stay.start[0] <= on
        ]
        lanes.append(Lane(position, tuple(spans)))
    told = [f"{a} to {b}: {state}." if a != b else f"{a}: {state}." for a, b, state in states]
    events = [*_own_nulls(facts, on), *_others(facts, on), *_upsets(facts, on), *_tubes(facts, on)]
    told += [f"{d}: {text}" for d, text in sorted(events)]
    return Timeline(first, last, tuple(lane for lane in lanes if lane.spans or lane.points), tuple(told))


def _began(stay: TubeStay) -> tuple[Moment, str]:
    return stay.start, stay.tube


def _days(facts: PairFacts) -> set[date]:
    days = {null.day for null in facts.nulls} | {u.day for u in facts.upsets if u.concerns(facts.unit, facts.chassis)}
    for stay in facts.stays:
        days |= {stay.start[0], *([stay.end[0]] if stay.end else [])}
    return days


def _states(facts: PairFacts, days: list[date], on: date) -> list[tuple[date, date, str]]:
    """Stretches of one state, from the first event on."""
    stretches: list[tuple[date, date, str]] = []
    for day, after in zip(days, [*days[1:], on], strict=True):
        state = state_of_pair(facts, day).state
        if stretches and stretches[-1][2] == state:
            stretches[-1] = (stretches[-1][0], after, state)
        else:
            stretches.append((day, after, state))
    return stretches


def _own_nulls(facts: PairFacts, on: date) -> list[tuple[date, str]]:
    own = [
        n for n in facts.nulls if (n.unit, n.chassis) == (facts.unit, facts.chassis) and n.moment <= (on, END_OF_DAY)
    ]
    return sorted(
        {
            (n.day, f"Neutralized, {'setting ' + n.setting if n.setting.strip() else 'no setting written down'}.")
            for n in own
        }
    )


def _others(facts: PairFacts, on: date) -> list[tuple[date, str]]:
    in_unit = facts.capacitor == IN_UNIT
    names = (facts.chassis_names if in_unit else facts.unit_names) or {}
    found = set()
    for null in facts.nulls:
        partner = null.chassis if in_unit else null.unit
        mine = facts.chassis if in_unit else facts.unit
        shares = null.unit == facts.unit if in_unit else null.chassis == facts.chassis
        if shares and partner != mine and null.day <= on:
            found.add((null.day, f"Capacitor set for {names.get(partner, 'another')}."))
    return sorted(found)


def _tubes(facts: PairFacts, on: date) -> list[tuple[date, str]]:
    found = [(stay.start[0], f"{stay.tube} into {stay.position}.") for stay in facts.stays]
    found += [(stay.end[0], f"{stay.tube} out of {stay.position}.") for stay in facts.stays if stay.end]
    return sorted({event for event in found if event[0] <= on})


def _upsets(facts: PairFacts, on: date) -> list[tuple[date, str]]:
    mine = [u for u in facts.upsets if u.concerns(facts.unit, facts.chassis) and u.day <= on]
    return sorted({(u.day, f"{u.cause.capitalize()}{': ' + u.note if u.note else ''}.") for u in mine})
