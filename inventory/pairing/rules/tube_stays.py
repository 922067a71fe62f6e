"""Tubes in the neutralized positions of a chassis over time: which was there when, which is another, which came back.

A neutralization is for the tubes that were there. The same tube back in the same position has the capacitances that it
had, so the setting stands (common practice, no source); that it was out is told all the same.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise

from inventory.house.records.moments import END_OF_DAY, Moment, just_before
from inventory.pairing.rules.events import Because, Reason, TubeStay

TAKEN_AS_LATER = "of the same minute as the neutralization and taken as later; if it was before, mend the times"


def over(stay: TubeStay) -> Moment:
    """When a stay is over. An end without a time on the day of a timed start lies at the day's end."""
    if stay.end is None:
        return Moment(date.max, END_OF_DAY)
    return Moment(stay.end.day, END_OF_DAY) if stay.end < stay.start else stay.end


def stays_at(stays: Iterable[TubeStay], moment: Moment) -> list[TubeStay]:
    """The stays that cover a moment. More than one: the times do not tell which tube it was, so none is trusted."""
    return sorted((s for s in stays if s.start <= moment < over(s)), key=lambda s: (s.start, s.tube))


def tube_changes(stays: Sequence[TubeStay], since: Moment | None, now: Moment) -> list[Reason]:
    """Neutralized positions whose tube is not the one that was there at ``since`` (None: the first one on record)."""
    reasons = []
    for position, here in sorted(_by_position(stays, now).items()):
        first = min(here, key=_first_there)
        then = [first] if since is None else stays_at(here, just_before(since))
        today = stays_at(here, now)
        were, are = ({stay.tube for stay in stays} for stays in (then, today))
        if were != are or len(are) > 1:
            reason = _tube_reason(position, then, today, here)
            taken = changed_in_the_minute(here, since)
            text = f"{reason.text.rstrip('.')}; {TAKEN_AS_LATER}." if taken else reason.text
            reasons.append(replace(reason, text=text))
    return reasons


def _by_position(stays: Iterable[TubeStay], now: Moment) -> dict[str, list[TubeStay]]:
    """Stays that had begun, by position."""
    found: dict[str, list[TubeStay]] = defaultdict(list)
    for stay in stays:
        if stay.start <= now:
            found[stay.position].append(stay)
    return found


def _first_there(stay: TubeStay) -> tuple[Moment, Moment, str]:
    return stay.start, over(stay), stay.tube


def changed_in_the_minute(stays: Iterable[TubeStay], since: Moment | None) -> bool:
    """Whether any of these stays began or ended in the very minute of a neutralization (``since``)."""
    if since is None or since.second == END_OF_DAY:
        return False
    return any(since in (stay.start, stay.end) for stay in stays)


def _tube_reason(position: str, then: list[TubeStay], today: list[TubeStay], here: list[TubeStay]) -> Reason:
    """What became of the tube of then; of ``here``, all stays in the position, some may lie between then and today."""
    was, now = (" or ".join(dict.fromkeys(stay.tube for stay in stays)) for stays in (then, today))
    were = {stay.tube for stay in then}
    if not today:  # it may have been back meanwhile, and others may have stood there since
        day, last = max(over(stay) for stay in here if stay.tube in were).day, max(here, key=over)
        since = "" if last.tube in were else f"; {last.tube} stood there until {over(last).day}"
        return Reason(day, Because.TUBE, f"{position}: tube {was} taken out on {day}{since}, position empty.")
    day = today[-1].start[0]
    if not then:
        text = f"{position}: tube {now} fitted on {day}; no tube was on record there when the unit was neutralized."
    else:
        known, began = were | {stay.tube for stay in today}, min(stay.start for stay in then)
        others = any(stay.tube not in known and began < stay.start <= today[-1].start for stay in here)
        text = f"{position}: tube {was} replaced by {'others, at last by ' if others else ''}{now} on {day}."
    return Reason(day, Because.TUBE, text)


def out_and_back(stays: Iterable[TubeStay], since: Moment | None, now: Moment) -> list[Reason]:
    """Neutralized positions whose tube was taken out after ``since`` (None: ever) and is back: facts, no causes.

    Of several times the last is told, with their number. Nothing is told of a position that holds another tube now.
    """
    reasons = []
    for position, here in sorted(_by_position(stays, now).items()):
        first = min(here, key=_first_there)
        then = [first] if since is None else stays_at(here, just_before(since))
        tubes = {stay.tube for stay in (*then, *stays_at(here, now))}
        if not then or len(tubes) > 1:
            continue
        (tube,) = tubes
        after = just_before(since) if since else first.start
        own = sorted((s for s in here if s.tube == tube and over(s) > after), key=lambda s: (s.start, over(s)))
        gaps = [(over(one), other.start) for one, other in pairwise(own) if over(one) <= other.start]
        if gaps and stays_at(here, now):
            others = (s.tube for s in here if s.tube != tube and s.start < gaps[-1][1] and over(s) > gaps[-1][0])
            reasons.append(_back_reason(position, tube, gaps, list(dict.fromkeys(others))))
    return reasons


def _back_reason(position: str, tube: str, gaps: Sequence[tuple[Moment, Moment]], others: Sequence[str]) -> Reason:
    out, back = gaps[-1][0].day, gaps[-1][1].day
    days = f"taken out and put back on {back}" if out == back else f"taken out on {out} and put back on {back}"
    times = f", the last of {len(gaps)} times" if len(gaps) > 1 else ""
    between = f", with {' and '.join(others)} in its place meanwhile" if others else ""
    return Reason(
        back,
        Because.BACK,
        f"{position}: tube {tube} {days}{times}{between}. It is the same tube in the same position, so the setting "
        "stands (common practice, no source).",
    )
