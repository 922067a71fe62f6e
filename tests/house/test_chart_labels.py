"""Words on charts: none lies over another, none leaves the drawing. Widths are taken as rather more than they are."""

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.house.chart_labels import extent, room_between, spread, width_of
from inventory.pairing.rules.timeline import Happening, Stretch, timeline
from inventory.pairing.wording.charts import BESIDE_MOST, DOT, LETTERS, time_charts
from inventory.running.wording.frame import LETTERS as RUNNING_LETTERS
from inventory.running.wording.frame import WIDTH, frame

DAY = date(2026, 11, 29)


def apart(extents):
    """Whether no two stretches have more in common than rounding."""
    ordered = sorted(extents)
    return all(high <= low + 0.2 for (_, high), (low, _) in pairwise(ordered))


@given(
    st.lists(st.tuples(st.floats(0, 640), st.sampled_from(["2026", "2026-11", "2026-11-29", "0.2", "5"])), max_size=40),
    st.sampled_from(["start", "middle", "end"]),
)  # fmt: skip
def test_labels_along_an_axis(places, anchor):
    shown = spread(sorted(places), 14, 0, 640, anchor)
    extents = [extent(label, 14) for label in shown]
    assert apart(extents) and all(low >= -0.1 and high <= 640.6 for low, high in extents)
    assert bool(shown) == bool(places)


def test_room_is_found_beside_what_lies_there():
    assert room_between(0, 100, [], 40) == 0
    assert room_between(0, 100, [(10, 30)], 40) == 30
    assert room_between(0, 100, [(10, 30), (60, 70)], 40) is None
    assert room_between(0, 30, [], 40) is None


days = st.integers(0, 3000).map(lambda back: DAY - timedelta(days=back))
lanes = st.sampled_from(["state", "neutralized", "V103", "a lane with a name that is far too long for its place"])
texts = st.sampled_from(["good", "reset and verify", "Skerry 40 01432", "T-0024", "W" * 30, ""])


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.builds(Happening, days, lanes, st.sampled_from(["null", "upset", "tube"]), st.just("x")), max_size=12),
    st.lists(st.tuples(lanes, texts, days, days), max_size=12),
)
def test_nothing_on_a_time_line_lies_over_anything_else(happenings, stays):
    stretches = [Stretch(lane, "good", text, min(one, other), max(one, other)) for lane, text, one, other in stays]
    line = timeline(happenings, stretches, DAY)
    for chart in time_charts(line) if line else []:
        assert apart([extent(label, LETTERS) for label in chart.dates]) and chart.dates
        for y in {bar[1] for bar in chart.bars}:
            words = [
                (at, at + width_of(word, LETTERS)) for _, row, _, word, _, _, at in chart.bars if row == y and word
            ]
            dots = [(x - DOT, x + DOT) for x, row, _, _ in chart.dots if row == y + 10]
            assert apart(words)
            assert all(not (low < b - 0.2 and a < high - 0.2) for low, high in words for a, b in dots)
            bars = [(x, x + wide) for x, row, wide, *_ in chart.bars if row == y]
            assert all(any(x <= low and high <= end for x, end in bars) for low, high in words)
        beside = chart.names[0][0] == 19  # on a wide screen names stand beside the lanes
        room = min([BESIDE_MOST, *(bar[0] for bar in chart.bars)]) if beside else chart.width
        assert all(width_of(name, LETTERS) <= room for _, name, _ in chart.names)


def test_a_time_line_tells_of_things_without_numbers():
    """A tag where the number is missing; where boxes are too narrow for it, each partner has a lane of its own."""
    names = ["Skerry coil box 3 U-0007 (no serial)", "Skerry coil box 3 88"]
    starts = [DAY - timedelta(days=7 * back) for back in range(18, 0, -1)]
    stays = [
        Stretch("set for", "set", names[at % 2], day, day + timedelta(days=7), ["U-0007", "88"][at % 2])
        for at, day in enumerate(starts)
    ]
    line = timeline([Happening(starts[0], "other partners", "other", "x")], stays, DAY)
    for chart in time_charts(line):
        shown = {name for _, name, whole in chart.names if name == whole}
        assert {"other partners", "set for U-0007", "set for 88"} <= shown
        months = [words for _, words, _ in chart.dates]
        assert [words[-2:] for words in months] == ["08", "09", "10", "11"]  # no month is left out
    whole = timeline([], [Stretch("set for", "set", names[0], starts[0], None, "U-0007")], DAY)
    assert [[bar[3] for bar in chart.bars] for chart in time_charts(whole)] == [[names[0]], [names[0]]]
    week, turn = DAY - timedelta(days=40), DAY - timedelta(days=32)
    first, then = (
        Stretch("set for", "set", names[0], week, turn, "U-0007"),
        Stretch("set for", "set", names[1], turn, None, "88"),
    )
    some = timeline([], [first, then], DAY)
    assert [bar[3] for bar in time_charts(some)[0].bars] == ["U-0007", names[1]]


@pytest.mark.parametrize("long", [1, 3, 20, 45, 100, 200, 330, 400, 800, 1500, 4000, 12_000])
def test_days_along_an_axis_are_named_and_can_be_read(long):
    """Days, months or years: something is written under every axis of time, however short."""
    ticks = frame([DAY.toordinal() - long, DAY.toordinal()], [0, 1]).day_ticks()
    extents = [extent((x, words, "middle"), RUNNING_LETTERS) for x, words in ticks]
    assert ticks and apart(extents) and all(low >= 0 and high <= WIDTH for low, high in extents)
