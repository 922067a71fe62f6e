"""Changes of matched sets: tubes chosen to stay together, and sets that are split again."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day
from inventory.holdings.models import Tube
from inventory.house.history import refuse, write
from inventory.running.models import MatchedSet, MatchedTube, TubeTest
from inventory.running.rules.matching import MatchRefused, mismatch_pct
from tubes.queries import knowledge


@transaction.atomic
def make_set(row: MatchedSet, tests: Sequence[TubeTest], *, today: date, by: Any) -> MatchedSet:
    """Record tubes that were matched, each by the test it rests on: of one instrument, and of one tube."""
    check_day(row.made_on, "made_on", today)
    list(Tube.objects.select_for_update(of=("self",)).filter(pk__in=[test.tube_id for test in tests]).order_by("pk"))
    if len({test.tube_id for test in tests}) < 2 or len({test.tube_id for test in tests}) < len(tests):
        raise refuse("tests", "A set has two tubes or more, each once.")
    for test in tests:
        _check_member(row, test)
    names = {test.tube.type.name if test.tube.type else None for test in tests}
    if None in names or not names <= knowledge().kin.same_as(str(next(iter(names)))):
        raise refuse("tests", "Tubes of one type are matched; these are of several, or of none.")
    try:
        row.mismatch_pct = mismatch_pct(*(test.reading for test in tests if test.reading is not None))
    except MatchRefused as refusal:
        raise refuse("tests", f"{refusal}.") from refusal
    if row.mismatch_pct > row.tolerance_pct:
        raise refuse(
            "tests", f"They differ by {row.mismatch_pct:.3g} %, more than the {row.tolerance_pct:g} % asked for."
        )
    write(row, by=by)
    for test in tests:
        write(MatchedTube(matched_set=row, tube=test.tube, test=test), by=by)
    return row


def _check_member(row: MatchedSet, test: TubeTest) -> None:
    tag = test.tube.tag
    if test.instrument_id != row.instrument_id:
        raise refuse("tests", f"{tag} was read on {test.instrument}; readings of two instruments are never mixed.")
    if test.struck or test.reading is None:
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
