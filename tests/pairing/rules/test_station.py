"""The array fold against the plain one: the same state for every pair of every history."""

from dataclasses import replace
from datetime import date, time, timedelta

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.pairing.rules.events import (
    Null,
    Plate,
    TubeStay,
    Upset,
    Use,
    moment_of_null,
    moment_of_upset,
    moment_of_work,
)
from inventory.pairing.rules.fold import PairFacts, state_of_pair
from inventory.pairing.rules.station import STATION_STATES, StationEvents, stamp_of, station_states

CHASSIS, UNITS, POSITIONS, TUBES = 3, 3, 2, 4
DAY = date(2024, 3, 1)
days = st.integers(0, 6)
times = st.sampled_from([None, time(0), time(9), time(9, 0, 30), time(15)])
plates = st.sampled_from([Plate("01432"), Plate("1432"), Plate("77"), Plate("", "unreadable"), Plate("", "missing")])
nulls = st.builds(
    lambda c, u, d, t, s: Null(u, c, moment_of_null(DAY + timedelta(d), t), s),
    st.integers(0, CHASSIS - 1), st.integers(0, UNITS - 1), days, times, st.sampled_from(["", "37.5"]),
)  # fmt: skip
uses = st.builds(
    lambda c, u, d, t: Use(u, c, moment_of_null(DAY + timedelta(d), t)),
    st.integers(0, CHASSIS - 1), st.integers(0, UNITS - 1), days, times,
)  # fmt: skip
wheres = st.tuples(st.none() | st.integers(0, CHASSIS - 1), st.none() | st.integers(0, UNITS - 1)).filter(
    lambda w: w != (None, None)
)
upsets = st.builds(
    lambda w, d, t, a, both: Upset(
        moment_of_upset(DAY + timedelta(d), t, a), "repair", w[1], w[0], "", a, both and None not in w
    ),
    wheres,
    days,
    times,
    st.booleans(),
    st.booleans(),
)


@st.composite
def stays(draw: st.DrawFn) -> tuple[int, TubeStay]:
    start = draw(days)
    end = draw(st.none() | st.integers(start, 6))
    began = moment_of_work(DAY + timedelta(start), draw(times))
    over = None if end is None else moment_of_work(DAY + timedelta(end), draw(times))
    chassis = draw(st.integers(0, CHASSIS - 1))
    return chassis, TubeStay(
        f"V{draw(st.integers(0, POSITIONS - 1))}", str(draw(st.integers(0, TUBES - 1))), began, over
    )


def told_apart(upset: Upset) -> list[Upset]:
    """What upset both, as the columns take it: once for the unit, once for the chassis."""
    return [replace(upset, unit=None), replace(upset, chassis=None)] if upset.both else [upset]


def columns(
    nulls: list[Null], upsets: list[Upset], stays: list[tuple[int, TubeStay]], uses: list[Use] | None = None
) -> StationEvents:
    def ints(values: list[int]) -> np.ndarray:
        return np.array(values, dtype=np.int64)

    upsets = [one for upset in upsets for one in told_apart(upset)]
    return StationEvents(
        ints([n.chassis for n in nulls]), ints([n.unit for n in nulls]), ints([stamp_of(n.moment) for n in nulls]),
        np.array([bool(n.setting) for n in nulls], dtype=bool),
        ints([-1 if u.chassis is None else u.chassis for u in upsets]),
        ints([-1 if u.unit is None else u.unit for u in upsets]), ints([stamp_of(u.moment) for u in upsets]),
        np.array([u.accident for u in upsets], dtype=bool),
        ints([c for c, _ in stays]),
        ints([int(s.position[1:]) for _, s in stays]), ints([int(s.tube) for _, s in stays]),
        ints([stamp_of(s.start) for _, s in stays]), ints([-1 if s.end is None else stamp_of(s.end) for _, s in stays]),
        ints([u.chassis for u in uses or []]), ints([u.unit for u in uses or []]),
        ints([stamp_of(u.moment) for u in uses or []]),
    )  # fmt: skip


@settings(max_examples=600, deadline=None, database=None)
@given(
    st.lists(st.sampled_from(["unit", "chassis", "none"]), min_size=CHASSIS, max_size=CHASSIS),
    st.lists(plates, min_size=CHASSIS, max_size=CHASSIS),
    st.lists(plates, min_size=UNITS, max_size=UNITS),
    st.lists(nulls, max_size=8),
    st.lists(upsets, max_size=4),
    st.lists(stays(), max_size=6),
    st.lists(uses, max_size=4),
    days,
)
def test_every_pair_has_the_state_that_the_plain_fold_gives(
    capacitors: list[str],
    chassis_plates: list[Plate],
    unit_plates: list[Plate],
    nulls: list[Null],
    upsets: list[Upset],
    stays: list[tuple[int, TubeStay]],
    uses: list[Use],
    day: int,
) -> None:
    on = DAY + timedelta(day)
    fits = np.ones((CHASSIS, UNITS), dtype=bool)
    got = station_states(capacitors, chassis_plates, unit_plates, fits, columns(nulls, upsets, stays, uses), on)
    for c in range(CHASSIS):
        for u in range(UNITS):
            facts = PairFacts(
                c, u, capacitors[c], chassis_plates[c], unit_plates[u], nulls, upsets,
                [s for at, s in stays if at == c], uses=uses, capacitors=dict(enumerate(capacitors)),
            )  # fmt: skip
            assert STATION_STATES[got[c, u]] == state_of_pair(facts, on).state


def test_a_unit_that_does_not_go_there_has_no_state() -> None:
    none = np.zeros((1, 1), dtype=bool)
    got = station_states(["unit"], [Plate("1")], [Plate("1")], none, columns([], [], []), DAY)
    assert STATION_STATES[got[0, 0]] == ""
