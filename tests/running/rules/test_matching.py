"""Matched sets. L3.4 and L3.5 by hand; every best choice beside brute force over all choices.

L3.5: a bias-matching article (ramtubes.com/article-5) multiplies 0.3 V in one place and 0.5 V in another.
"""

from datetime import date
from functools import cache
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.running.rules.matching import (
    CLOSEST_FIRST,
    EXACT,
    NEAREST,
    NEIGHBOURS,
    Candidate,
    MatchRefused,
    ReadingOf,
    balance,
    candidates,
    in_words,
    match,
    mismatch_pct,
    sets_within,
)


def tubes(*readings):
    return [Candidate(f"T{n:03d}", one if isinstance(one, tuple) else (one,)) for n, one in enumerate(readings)]


def total(found):
    return sum(one.mismatch_pct for one in found.sets)


def brute_force(readings, size, tolerance):
    """Most sets, then the least total mismatch, over every choice there is."""

    def width(group):
        return max(mismatch_pct(*values) for values in zip(*(readings[one] for one in group), strict=True))

    @cache
    def best(left):
        if len(left) < size:
            return 0, 0.0
        answers = [best(left[1:])]
        for others in combinations(left[1:], size - 1):
            cost = width((left[0], *others))
            if cost <= tolerance:
                number, spent = best(tuple(one for one in left[1:] if one not in others))
                answers.append((number + 1, spent - cost))
        return max(answers)

    number, spent = best(tuple(range(len(readings))))
    return number, -spent


def test_l3_4_mismatch():
    assert mismatch_pct(36, 33) == pytest.approx(8.69565217391, abs=1e-9)
    assert mismatch_pct(33, 34, 36) == mismatch_pct(36, 33)
    assert mismatch_pct(5, 5) == 0
    with pytest.raises(MatchRefused):
        mismatch_pct(0, 1)


def test_l3_5_the_trap():
    """Volts of bias times transconductance over plate current: 0.5 V is 7 %, 0.3 V is 4.2 %, at 7 mA/V and 50 mA."""
    assert pytest.approx(7, abs=1e-9) == 100 * 0.5 * 7 / 50
    assert pytest.approx(4.2, abs=1e-9) == 100 * 0.3 * 7 / 50


def test_pairs_of_one_reading():
    found = match(tubes(100, 200, 104, 210, 150))
    assert found.as_dict() == {
        "sets": [
            {"tags": ["T000", "T002"], "readings": [100, 104], "mismatch_pct": pytest.approx(3.92156862745)},
            {"tags": ["T001", "T003"], "readings": [200, 210], "mismatch_pct": pytest.approx(4.87804878049)},
        ],
        "left": ["T004"],
        "text": "2 pairs within 10 %, 1 left. No choice gives more pairs, and none as many with less mismatch in all.",
    }
    assert found.method == EXACT


def test_most_pairs_come_before_closest_pairs():
    assert len(match(tubes(100, 109, 110, 119)).sets) == 2  # 109-110 alone would be closer


def test_a_pair_around_another_can_be_better():
    found = match(tubes(100, 105, 105, 110))
    assert total(found) == pytest.approx(mismatch_pct(100, 110))
    assert total(found) < 2 * mismatch_pct(100, 105)


def test_two_readings():
    found = match(tubes((100, 50), (101, 70), (102, 51), (103, 71)))
    assert {one.tags for one in found.sets} == {("T000", "T002"), ("T001", "T003")}
    assert found.sets[1].mismatch_pct == mismatch_pct(50, 51)
    assert found.as_dict()["sets"][0]["readings"][0] in ([100, 50], [101, 70])


def test_quads():
    found = match(tubes(100, 101, 102, 103, 104, 130, 131), size=4)
    assert [one.tags for one in found.sets] == [("T001", "T002", "T003", "T004")]  # widths 2.96 and 2.92 percent
    assert found.method == NEIGHBOURS and len(found.left) == 3
    assert match(tubes((1, 1), (1, 1), (1, 1), (1, 2)), size=3).method == CLOSEST_FIRST


def test_nothing_matches():
    assert match(tubes(1, 2)).text == "No pair within 10 %; 2 looked at."
    assert match([]).sets == () and match(tubes(5)).left == ("T000",)


@pytest.mark.parametrize(
    ("readings", "more"),
    [
        ([100, 0], {}),
        ([100, -5], {}),
        ([100, float("nan")], {}),
        ([100, float("inf")], {}),
        ([100, (1, 2)], {}),
        ([(1, 2, 3)] * 2, {}),
        ([100, 100], {"size": 1}),
        ([100, 100], {"size": 99}),
        ([100, 100], {"tolerance_pct": -1}),
        ([100, 100], {"tolerance_pct": float("nan")}),
    ],
)
def test_what_cannot_be_matched_is_refused(readings, more):
    with pytest.raises(MatchRefused) as refusal:
        match(tubes(*readings), **more)
    assert "\n" not in str(refusal.value)
    with pytest.raises(MatchRefused, match="twice"):
        match(tubes(1) + tubes(1))


readings_near = st.integers(80, 120) | st.integers(1, 300)
tolerances = st.sampled_from([0.0, 2.5, 5.0, 10.0, 30.0, 100.0])


@settings(deadline=None, max_examples=200)
@given(st.lists(readings_near, max_size=9), tolerances)
def test_pairs_equal_brute_force(readings, tolerance):
    found = match(tubes(*readings), 2, tolerance)
    number, spent = brute_force([(one,) for one in readings], 2, tolerance)
    assert len(found.sets) == number
    assert total(found) == pytest.approx(spent, abs=1e-5)


@settings(deadline=None, max_examples=200)
@given(st.lists(st.tuples(readings_near, readings_near), max_size=8), tolerances)
def test_pairs_of_two_readings_equal_brute_force(readings, tolerance):
    found = match(tubes(*readings), 2, tolerance)
    number, spent = brute_force(readings, 2, tolerance)
    assert len(found.sets) == number and found.method == EXACT
    assert total(found) == pytest.approx(spent, abs=1e-5)


@settings(deadline=None, max_examples=150)
@given(st.lists(readings_near, max_size=9), st.integers(3, 4), tolerances)
def test_larger_sets_are_as_many_as_brute_force_finds(readings, size, tolerance):
    found = match(tubes(*readings), size, tolerance)
    number, spent = brute_force([(one,) for one in readings], size, tolerance)
    assert len(found.sets) == number
    assert spent - 1e-9 <= total(found) <= spent * 1.1 + 1e-9  # nested sets can do better by a hair
    assert all(one.mismatch_pct <= tolerance for one in found.sets)


@settings(deadline=None)
@given(st.lists(st.tuples(readings_near, readings_near), max_size=14), st.integers(3, 5), tolerances)
def test_sets_by_rule_of_thumb_are_sound(readings, size, tolerance):
    found = match(tubes(*readings), size, tolerance)
    used = [tag for one in found.sets for tag in one.tags] + list(found.left)
    assert sorted(used) == sorted(tube.tag for tube in tubes(*readings))
    assert all(len(one.tags) == size and one.mismatch_pct <= tolerance for one in found.sets)


def test_many_tubes_on_two_readings():
    """More pairs than are asked for at once; the number is still exact, and here the mismatch, too."""
    readings = [(100 + n * 7 % 10 / 10, 100 + n * 3 % 10 / 10) for n in range(121)]
    found = match(tubes(*readings))
    assert (len(found.sets), len(found.left), found.method) == (60, 1, NEAREST)
    assert total(found) == pytest.approx(0, abs=0.3)


def test_sections_against_each_other():
    assert balance({"1": 36, "2": 33}, 10).within
    assert not balance({"1": 36, "2": 30}, 10).within


# --- who takes part ---------------------------------------------------------------------------------------------------


def read(tag, day, figure, name="", instrument="bench tester", shorted=False):
    return ReadingOf(tag, instrument, name, date(2025, 1, day), figure, shorted)


def test_the_latest_reading_within_the_days():
    rows = [
        read("A", 5, 90), read("A", 9, 100), read("A", 28, 50), read("B", 1, 100), read("C", 6, None),
        read("D", 6, 100), read("D", 20, None, shorted=True),
    ]  # fmt: skip
    found, without = candidates(rows, [""], date(2025, 1, 4), date(2025, 1, 10))
    assert found == [Candidate("A", (100,))]
    assert without == {
        "B": "no reading from 2025-01-04 to 2025-01-10",
        "C": "no reading from 2025-01-04 to 2025-01-10",
        "D": "shorted on 2025-01-20",
    }


def test_both_sections_are_needed():
    rows = [read("A", 5, 90, "1"), read("A", 5, 95, "2"), read("B", 5, 90, "1")]
    found, without = candidates(rows, ["1", "2"], date(2025, 1, 1), date(2025, 1, 31))
    assert found == [Candidate("A", (90, 95))]
    assert without == {"B": "section 2 was not read from 2025-01-01 to 2025-01-31"}


def test_a_short_in_either_section_keeps_a_tube_out():
    """A shorted tube goes no further: TM 11-6625-316-12 par. 21-23."""
    rows = [
        read("A", 5, 90, "1"), read("A", 9, None, "1", shorted=True), read("A", 9, 95, "2"),
        read("B", 5, None, "1", shorted=True), read("B", 9, 90, "1"), read("B", 9, 95, "2"),
    ]  # fmt: skip
    found, without = candidates(rows, ["2"], date(2025, 1, 1), date(2025, 1, 31))
    assert [one.tag for one in found] == ["B"]
    assert without == {"A": "shorted on 2025-01-09"}


def test_instruments_are_never_mixed():
    with pytest.raises(MatchRefused, match="bench tester and field tester do not compare"):
        candidates([read("A", 5, 90), read("B", 5, 90, instrument="field tester")], [""], date.min, date.max)


def test_what_is_missing_is_told_in_words():
    day = date(2026, 11, 1)
    one = ReadingOf("T-1", "bench", "1", day, 2000.0)
    _, left = candidates([one], ["1", "2"], date(1900, 1, 1), day)
    assert left == {"T-1": "section 2 was not read"}
    _, left = candidates([one], ["2", "3"], date(2026, 10, 1), day)
    assert left == {"T-1": "sections 2 and 3 were not read from 2026-10-01 to 2026-11-01"}
    _, left = candidates([one], ["reading"], date(1900, 1, 1), day)
    assert left == {"T-1": "no reading was taken"}
    assert in_words(["1", "2"]) == "sections 1 and 2"
    assert in_words(["reading", "reduced"]) == "the reading and the reading with reduced filament"


@settings(deadline=None, max_examples=100)
@given(st.lists(readings_near, max_size=8), st.integers(2, 4), tolerances)
def test_sets_to_choose_from_hold_the_closest_and_as_many_as_can_be(readings, size, tolerance):
    """Beside all sets there are: the closest is among them, and as many that share no tube as any choice gives."""
    offered = sets_within(tubes(*readings), size, tolerance)
    every = [mismatch_pct(*some) for some in combinations(readings, size)]
    assert min((one.mismatch_pct for one in offered), default=None) == min(
        (width for width in every if width <= tolerance), default=None
    )
    assert all(one.mismatch_pct <= tolerance for one in offered)
    number, _ = brute_force([(one,) for one in readings], size, tolerance)
    assert _most_apart([frozenset(one.tags) for one in offered]) == number


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(readings_near, readings_near), max_size=8), tolerances)
def test_pairs_to_choose_from_on_two_readings_are_all_there_are(readings, tolerance):
    named = tubes(*readings)
    widths = {
        frozenset((one.tag, other.tag)): max(map(mismatch_pct, one.readings, other.readings))
        for one, other in combinations(named, 2)
    }
    offered = {frozenset(one.tags): one.mismatch_pct for one in sets_within(named, 2, tolerance)}
    assert offered == pytest.approx({tags: width for tags, width in widths.items() if width <= tolerance})


def _most_apart(sets):
    """How many of some sets share no member, at most."""
    if not sets:
        return 0
    first, *rest = sets
    return max(_most_apart(rest), 1 + _most_apart([one for one in rest if not one & first]))
