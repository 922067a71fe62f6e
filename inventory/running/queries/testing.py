"""Questions about a tube by its tests together: what they say of it, advice, the test session."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Exists, Q

from inventory.holdings.models import Tube
from inventory.holdings.queries import AT_HAND, tubes_here
from inventory.running.models import Care, HoursCorrection, TubeTest
from inventory.running.queries.hours import TubeAccount, accounts_of, tube_records
from inventory.running.queries.test_points import with_points
from inventory.running.queries.together import (
    Told,
    held_back,
    is_good_one_of,
    latest_of,
    of_each_tube,
    rejects_among,
    shorted_now,
    told_by,
    whole_of,
)
from inventory.running.queries.trends import TrendLine, trends_of
from inventory.running.queries.verdicts import GRIDLESS, TestLine, judged, test_list, with_tubes
from inventory.running.rules.advice import Advice, AdviceFacts, advise
from inventory.running.rules.verdicts import (
    BORDERLINE,
    GOOD,
    REJECT,
    Verdict,
)
from inventory.running.rules.words import ACTIVITY_PCT, BORDERLINE_PCT, GAS_DIV
from inventory.sets.models import Position
from inventory.sets.queries import fitted_now, open_fittings
from tubes.models import Rating
from tubes.queries import knowledge
from tubes.queries.judging import limits
from tubes.rules.limits import Limit


@dataclass(frozen=True)
class TubeAdvice:
    """What a tube's tests say. ``proposed``: the state that the last tests speak for, or nothing."""

    lines: tuple[TestLine, ...]
    latest: tuple[TestLine, ...]
    verdict: Verdict | None
    advice: Advice
    proposed: str

    @property
    def states(self) -> list[str]:
        """The words that a keeper can settle a tube with after a test; untested is none of them."""
        return [Tube.GOOD, Tube.WEAK, Tube.DUD]


@dataclass(frozen=True)
class TubeStory(TubeAdvice):
    """All that the running area knows of a tube. ``corrections``: of its hours, struck ones among them."""

    account: TubeAccount
    corrections: tuple[HoursCorrection, ...]
    trends: tuple[TrendLine, ...]
    judged_by: tuple[Limit, ...]


@dataclass(frozen=True)
class SessionSoFar:
    """The tests of a session that are asked for, and what all tests of the first one's tube say of it."""

    lines: tuple[TestLine, ...]
    story: TubeAdvice | None


def session_so_far(keys: Sequence[int], on: date) -> SessionSoFar:
    """Tests by their keys in that order, and advice on the tube of the first (a fixed number of queries)."""
    first = TubeTest.objects.filter(pk=keys[0]) if keys else TubeTest.objects.none()
    about = Q(tube__in=first.values("tube")) | _good_of_type(first.values("tube__type"))
    rows = limits()
    lines = judged(test_list().filter(Q(pk__in=keys) | about & Q(on__lte=on)), rows)
    by_key = {line.test.pk: line for line in lines}
    done = tuple(by_key[key] for key in keys if key in by_key)
    if not done:
        return SessionSoFar((), None)
    tube = done[0].test.tube
    return SessionSoFar(tuple(with_points(done)), _advice_of(tube, lines, on))


def tube_story(tube: Tube, on: date) -> TubeStory:
    """A tube's hours, tests, verdict, advice and trends (a fixed number of queries)."""
    rows = limits()
    tested = Exists(TubeTest.objects.filter(tube=tube, on__lte=on, struck=""))  # else its like are not asked about
    about = Q(tube=tube) | _good_of_type([tube.type_id] if tube.type_id else []) & tested
    told = _advice_of(tube, judged(with_tubes(test_list().filter(about, on__lte=on)), rows), on)
    records = tube_records([tube], rows)
    (account,) = accounts_of(records, on)
    lines = tuple(with_points(told.lines))
    return TubeStory(
        **{**vars(told), "lines": lines},
        account=account,
        corrections=tuple(tube.hours_corrections.order_by("-on", "-pk")),
        trends=trends_of(lines, records),
        judged_by=tuple(rows.row(key) for key in (BORDERLINE_PCT, ACTIVITY_PCT, GAS_DIV) if key in rows),
    )


def _good_of_type(types: Any) -> Q:
    """A condition on tests: of tubes at hand, of one of these types, that are called good (``AT_HAND``)."""
    here = Q(tube__item__gone_on__isnull=True, tube__item__lent_to="", tube__item__missed_on__isnull=True)
    return Q(tube__type__in=types, tube__state=Tube.GOOD) & here


def _advice_of(tube: Tube, tests: Sequence[TestLine], on: date) -> TubeAdvice:
    """Advice by its tests and those of the good ones of its type; ``tests``: of any tubes, the latest first."""
    by_tube = of_each_tube(tests)
    lines = by_tube.pop(tube.pk, [])
    latest = latest_of(lines)
    verdict = held_back(whole_of(latest, lines), latest, lines)
    others = [one for one in told_by(by_tube).values() if is_good_one_of(tube, one.lines[0].test.tube)]
    advice = advise(_advice_facts(tube, lines, latest, verdict, on, others))
    return TubeAdvice(tuple(lines), latest, verdict, advice, _proposed(lines, latest, verdict))


def _proposed(lines: Sequence[TestLine], latest: Sequence[TestLine], verdict: Verdict | None) -> str:
    """The state the tests speak for; one reading below the limit makes no dud yet. The keeper has the last word."""
    if verdict is None:
        return ""
    if shorted_now(latest):
        return Tube.DUD
    if verdict.verdict == REJECT:
        return Tube.DUD if rejects_among(lines) > 1 else Tube.WEAK
    return {GOOD: Tube.GOOD, BORDERLINE: Tube.WEAK}.get(verdict.verdict, "")


def _advice_facts(
    tube: Tube,
    lines: Sequence[TestLine],
    latest: Sequence[TestLine],
    verdict: Verdict | None,
    on: date,
    others: Sequence[Told],
) -> AdviceFacts:
    fitted = open_fittings().filter(tube=tube).exists()
    if verdict is None:
        return AdviceFacts(None, fitted=fitted)
    last = latest[0].test
    known = tube.type_id is not None
    doubted = {one.lines[0].test.tube_id for one in others if one.against}
    called = tubes_here().filter(AT_HAND, type=tube.type_id, state=Tube.GOOD)
    in_set = dict(called.annotate(in_set=fitted_now()).values_list("pk", "in_set")) if known else {}
    good = [in_use for key, in_use in in_set.items() if key not in doubted]
    spares = [one for one in others if in_set.get(one.lines[0].test.tube_id) is False]
    alike = _taken_as(tube)
    places = Position.objects.filter(  # one for each chassis; a model that nobody owns joins as a row of nothing
        type__name__in=alike, set_model__chassis__isnull=False, set_model__chassis__item__gone_on__isnull=True
    )
    every = Care.objects.filter(Q(item=tube.item) | Q(type=tube.type_id), work=Care.TEST, ended_on__isnull=True)
    months = every.filter(every_months__isnull=False).values_list("every_months", flat=True).first()
    return AdviceFacts(
        verdict.verdict,
        shorted=shorted_now(latest),
        rejects=rejects_among(lines),
        fitted=fitted,
        places=places.count() if known else 0,
        good=len(good),
        in_sets=sum(good),
        rank=_rank(lines, latest, spares),
        age_months=(on.year - last.on.year) * 12 + on.month - last.on.month,
        old_months=months,
        doubt=verdict.doubt,
        unread=verdict.unread,
        others_read=_others_read(tube) if known else 0,
        gridless=Rating.objects.filter(type__name__in=alike, kind__in=GRIDLESS).exists(),
    )


def _taken_as(tube: Tube) -> set[str]:
    """The types in whose places a tube may stand: its own, its other names, and those that it is another form of."""
    if tube.type is None:
        return set()
    known = knowledge()
    names = known.kin.same_as(tube.type.name)
    return {*names, *known.other_forms(names)}


def _rank(lines: Sequence[TestLine], latest: Sequence[TestLine], others: Sequence[Told]) -> int:
    """Its place among the spares of its type whose last tests call them good, by their last readings there, 1 the best.

    A tube of several sections counts by the weakest of them; tubes that were not read in the same sections are aside.
    """
    instrument, sections = latest[0].test.instrument_id, {line.test.section for line in latest}
    mine = _weakest(lines, instrument, sections)
    good = (one.lines for one in others if one.verdict.verdict == GOOD)
    read = [_weakest(theirs, instrument, sections) for theirs in good]
    return 1 + sum(1 for reading in read if mine is not None and reading is not None and reading > mine)


def _weakest(lines: Sequence[TestLine], instrument: int, sections: set[str]) -> float | None:
    """The last reading on an instrument of the weakest of these sections; None where one was not read there."""
    last: dict[str, float] = {}
    for line in lines:
        test = line.test
        counts = line.verdict is not None and test.reading is not None  # else it was struck out, or nothing was read
        if counts and test.instrument_id == instrument and test.section in sections:
            last.setdefault(test.section, test.reading)
    return min(last.values()) if last.keys() == sections else None


def _others_read(tube: Tube) -> int:
    """How many other tubes of its type that are here were read on any instrument and are not called good."""
    rows = TubeTest.objects.filter(tube__type=tube.type_id, tube__item__gone_on__isnull=True, struck="")
    read = rows.filter(reading__isnull=False).exclude(tube=tube).exclude(tube__state=Tube.GOOD)
    return read.values("tube").distinct().count()
