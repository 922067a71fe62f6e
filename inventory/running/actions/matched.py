"""Changes of matched sets: tubes chosen to stay together, and sets that are split again."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day, hold_things
from inventory.house.writing import refuse, write
from inventory.running.models import MatchedSet, MatchedTube, TubeTest
from inventory.running.queries.matching import figure_of
from inventory.running.rules.matching import MatchRefused, mismatch_pct
from tubes.queries import knowledge


@transaction.atomic
def make_set(
    row: MatchedSet, tests: Sequence[TubeTest], names: Sequence[str] = ("",), *, today: date, by: Any
) -> MatchedSet:
    """Record tubes that were matched, each by the tests it rests on: of one instrument, and of one kind of tube.

    ``names``: which one or two readings were compared (see ``queries.reading_names``; empty: the test's own). The
    mismatch of the set is worked out anew, the larger one of two.
    """
    check_day(row.made_on, "made_on", today)
    hold_things(*(test.tube for test in tests))
    if len({test.tube_id for test in tests}) < 2:
        raise refuse("tests", "A set has two tubes or more, each once.")
    for test in tests:
        _check_member(row, test)
    rests_on = _by_tube(tests, names)
    _check_one_type(tests)
    try:
        row.mismatch_pct = max(mismatch_pct(*(found[n][1] for found in rests_on.values())) for n in range(len(names)))
    except MatchRefused as refusal:
        raise refuse("tests", f"{refusal}.") from refusal
    if row.mismatch_pct > row.tolerance_pct:
        raise refuse(
            "tests", f"They differ by {row.mismatch_pct:.3g} %, more than the {row.tolerance_pct:g} % asked for."
        )
    row.compared = " and ".join(filter(None, names))
    write(row, by=by)
    for (test, _), *more in rests_on.values():
        second = more[0][0] if more and more[0][0].pk != test.pk else None
        write(MatchedTube(matched_set=row, tube=test.tube, test=test, second=second), by=by)
    return row


def _check_one_type(tests: Sequence[TubeTest]) -> None:
    """Refuse tubes that are not of one type, under whichever of its names."""
    types = {test.tube.type.name if test.tube.type else "" for test in tests}
    if "" in types or not types <= knowledge().kin.same_as(next(iter(types))):
        raise refuse("tests", "Tubes of one type are matched; these are of several, or of none.")


def _by_tube(tests: Sequence[TubeTest], names: Sequence[str]) -> dict[int, list[tuple[TubeTest, float]]]:
    """By tube: for each name the test that holds such a reading, and the figure."""
    found: dict[int, list[tuple[TubeTest, float]]] = {}
    for tube in dict.fromkeys(test.tube_id for test in tests):
        own = [test for test in tests if test.tube_id == tube]
        if len(own) > len(names):
            raise refuse("tests", "A set has two tubes or more, each once.")
        for name in names:
            figures = [(t, f) for t in own if (f := figure_of(t, name) if name else t.reading) is not None]
            if not figures:
                raise refuse("tests", f"{own[0].tube.tag} has no {name or 'reading'} in the test that was chosen.")
            found.setdefault(tube, []).append(figures[-1])
    return found


def _check_member(row: MatchedSet, test: TubeTest) -> None:
    tag = test.tube.tag
    if test.instrument_id != row.instrument_id:
        raise refuse("tests", f"{tag} was read on {test.instrument}; readings of two instruments are never mixed.")
    if test.struck or (test.reading is None and test.reduced is None):
        raise refuse("tests", f"{tag} has no reading that counts on {row.instrument}.")
    if test.on > row.made_on:
        raise refuse("made_on", f"{tag} was tested on {test.on}, after that day.")
    if test.tube.item.gone_on:
        raise refuse("tests", f"{tag} left the collection on {test.tube.item.gone_on}.")
    if other := MatchedSet.objects.filter(members__tube=test.tube, split_on__isnull=True).first():
        raise refuse("tests", f"{tag} is in {other} already; split that one first.")


@transaction.atomic
def split_set(row: MatchedSet, *, on: date, why: str, today: date, by: Any) -> MatchedSet:
    """A matched set is no longer one."""
    check_day(on, "split_on", today)
    fresh = MatchedSet.objects.select_for_update().get(pk=row.pk)
    if fresh.split_on:
        raise refuse("split_on", f"It was split on {fresh.split_on} already.")
    if on < fresh.made_on:
        raise refuse("split_on", f"It was made on {fresh.made_on}.")
    if not why.strip():
        raise refuse("split_why", "Say why.")
    fresh.split_on, fresh.split_why = on, why.strip()
    return write(fresh, by=by, reason="split")
