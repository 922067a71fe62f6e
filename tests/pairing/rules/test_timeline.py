"""The chart of a ledger: its states follow the fold day by day, and everything drawn lies inside the time shown."""

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.pairing.rules.events import Null, Plate, TubeStay, Upset, moment_of_null, moment_of_work
from inventory.pairing.rules.fold import PairFacts, state_of_pair
from inventory.pairing.rules.timeline import Happening, Stretch, states_of, timeline

DAY = date(2024, 3, 1)
days = st.integers(0, 40).map(lambda number: DAY + timedelta(number))
nulls = st.builds(
    lambda day, chassis, setting: Null(11, chassis, moment_of_null(day, None), setting),
    days, st.sampled_from([1, 2]), st.sampled_from(["", "31"]),
)  # fmt: skip
upsets = st.builds(lambda day: Upset(moment_of_work(day, None), "repair", 11, None), days)


@st.composite
def stays(draw: st.DrawFn) -> TubeStay:
    first, last = sorted((draw(days), draw(days)))
    end = draw(st.sampled_from([None, moment_of_work(last, None)]))
    return TubeStay(
        draw(st.sampled_from(["V1", "V2"])), draw(st.sampled_from(["T-1", "T-2"])), moment_of_work(first, None), end
    )


def facts(nulls: list[Null], upsets: list[Upset], stays: list[TubeStay]) -> PairFacts:
    return PairFacts(
        1, 11, "unit", Plate("1432"), Plate("1432"), nulls, upsets, stays, {1: "1432", 2: "2077"}, {11: "a"}
    )


def test_nothing_on_record_gives_no_chart() -> None:
    assert states_of(facts([], [], []), DAY) == []
    assert timeline([], [], DAY) is None
    assert timeline([Happening(DAY + timedelta(1), "disturbed", "upset", "Knock.")], [], DAY) is None


@settings(max_examples=150, deadline=None, database=None)
@given(st.lists(nulls, max_size=4), st.lists(upsets, max_size=3), st.lists(stays(), max_size=3))
def test_the_states_drawn_are_those_of_the_fold(nulls: list[Null], upsets: list[Upset], stays: list[TubeStay]) -> None:
    on = DAY + timedelta(41)
    all_facts = facts(nulls, upsets, stays)
    chart = timeline([], states_of(all_facts, on), on)
    if chart is None:
        assert not (nulls or upsets or stays)
        return
    whole = (chart.last - chart.first).days
    (lane,) = chart.lanes
    assert lane.name == "state" and lane.spans[-1].text == state_of_pair(all_facts, on).state
    for number in range(whole):
        at = (number + 0.5) / whole
        drawn = next(span.text for span in lane.spans if span.left <= at <= span.right)
        assert drawn == state_of_pair(all_facts, chart.first + timedelta(number)).state


happenings = st.builds(
    Happening, days, st.sampled_from("ab"), st.just("null"), st.text(max_size=3), st.sampled_from(["", "x"])
)
stretches = st.builds(
    lambda lane, start, more: Stretch(lane, "tube", "T-1", start, None if more is None else start + timedelta(more)),
    st.sampled_from("bc"), days, st.none() | st.integers(0, 30),
)  # fmt: skip


@settings(max_examples=150, deadline=None, database=None)
@given(st.lists(happenings, max_size=6), st.lists(stretches, max_size=6), days)
def test_everything_of_the_time_is_drawn_once_and_inside(
    happened: list[Happening], lasted: list[Stretch], on: date
) -> None:
    chart = timeline(happened, lasted, on, order=("b", "a"))
    shown = [h for h in happened if h.day <= on], [s for s in lasted if s.start <= on]
    if chart is None:
        assert shown == ([], [])
        return
    assert sum(len(lane.points) for lane in chart.lanes) == len(shown[0])
    assert sum(len(lane.spans) for lane in chart.lanes) == len(shown[1])
    assert [lane.name for lane in chart.lanes] == sorted(
        {h.lane for h in shown[0]} | {s.lane for s in shown[1]}, key=lambda name: ("b", "a", "c").index(name)
    )
    for lane in chart.lanes:
        assert all(0 <= span.left <= span.right <= 1 for span in lane.spans)
        assert all(0 <= point.at <= 1 for point in lane.points)
    assert sum(p.kind == "struck" for lane in chart.lanes for p in lane.points) == sum(bool(h.struck) for h in shown[0])
