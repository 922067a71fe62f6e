"""Questions about tests: the verdict of each, a tube's tests together, advice, trend."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from django.db.models import Q, QuerySet

from inventory.holdings.models import Tube
from inventory.holdings.queries import AT_HAND, tubes_here
from inventory.house.concerns import Doubt
from inventory.running.models import Care, HoursCorrection, Instrument, TubeTest, TypeMinimum
from inventory.running.queries.hours import TubeAccount, TubeRecords, accounts_of, tube_records
from inventory.running.queries.order import IN_TIME, LATEST_FIRST
from inventory.running.rules.advice import Advice, AdviceFacts, advise
from inventory.running.rules.gas import CLEAR, OVER, TOLD, leaks, reads_current
from inventory.running.rules.hours import RunningTimes, TubeFact, hours_on_days
from inventory.running.rules.settings import differ
from inventory.running.rules.trend import Trend, TrendPoint, trend
from inventory.running.rules.verdicts import (
    BORDERLINE,
    GAS,
    GAS_TOLD,
    GOOD,
    LEAKAGE,
    OTHER_SECTION,
    REJECT,
    Activity,
    Reading,
    Verdict,
    activity,
    against,
    judge,
    whole_tube,
)
from inventory.running.rules.words import ACTIVITY_PCT, BORDERLINE_PCT, GAS_DIV
from inventory.sets.models import Fitting, Position
from inventory.sets.queries import FEW, open_fittings
from tubes.models import Rating
from tubes.queries import knowledge
from tubes.queries.judging import double_families, limits
from tubes.queries.mercury import glowing_among
from tubes.rules.family import number_of
from tubes.rules.figures import RECTIFIERS, REGULATORS
from tubes.rules.limits import Limit, Limits

GRIDLESS = RECTIFIERS | REGULATORS | {"duodiode"}
Named = TypeVar("Named", int, str)  # tubes by key, or by tag
Key = tuple[int, int, str]  # tube, instrument, section


@dataclass(frozen=True)
class TestLine:
    """A test with its verdict; a struck test has none. ``double``: its type has two sections, and one was named."""

    __test__ = False  # no test case, whatever its name says

    test: TubeTest
    verdict: Verdict | None
    activity: Activity | None
    double: bool = False

    @property
    def word(self) -> str:
        return self.verdict.verdict if self.verdict else ""

    def as_dict(self) -> dict[str, Any]:
        test = self.test
        return {
            "tag": test.tube.tag,
            "on": test.on.isoformat(),
            "instrument": test.instrument.name,
            "unit": test.instrument.unit,
            "section": test.section,
            "settings": test.settings,
            "shorts": test.shorts,
            "reading_text": test.reading_text,
            "reading": test.reading,
            "minimum": self.verdict.limit if self.verdict else test.minimum,
            "gas": test.gas,
            "by": test.by_whom,
            "struck": test.struck,
            "verdict": self.verdict.verdict if self.verdict else None,
            "percent_of_first": self.verdict.percent_of_first if self.verdict else None,
            "reasons": list(self.verdict.reasons) if self.verdict else [],
        }


def test_list() -> QuerySet[TubeTest]:
    """Every test, the latest first."""
    return TubeTest.objects.select_related("tube__item", "tube__type", "instrument").order_by(*LATEST_FIRST)


test_list.__test__ = False  # type: ignore[attr-defined]


def judged(tests: Iterable[TubeTest], rows: Limits | None = None) -> list[TestLine]:
    """The verdict of each of these tests (a fixed number of queries). ``rows``: the limits, if at hand."""
    tests = list(tests)
    firsts = _firsts({test.tube_id for test in tests})
    beside = _Beside(_minimums(tests), firsts, *_of_gas(tests), _doubles(tests))
    rows = limits() if rows is None else rows
    return [_line(test, beside, rows) for test in tests]


@dataclass(frozen=True)
class _Beside:
    """What some tests are judged by: minimums, first readings, types filled with gas, instruments reading a current.

    ``doubles``: family numbers of tubes of two sections.
    """

    minimums: dict[tuple[int, int, str], TypeMinimum]
    firsts: dict[Key, TubeTest]
    filled: dict[str, str]
    in_current: set[int]
    doubles: frozenset[str] = frozenset()


def _doubles(tests: Sequence[TubeTest]) -> frozenset[str]:
    """Family numbers of double tubes; none where no section was named (queries of ``double_families``, else none)."""
    return double_families() if any(test.section and test.tube.type for test in tests) else frozenset()


def _of_gas(tests: Sequence[TubeTest]) -> tuple[dict[str, str], set[int]]:
    """With what types are filled, and on which instruments gas is read as a current, where gas was written."""
    read = [test for test in tests if test.gas]
    filled = glowing_among(test.tube.type.name for test in read if test.tube.type)
    rows = TubeTest.objects.filter(instrument__in={test.instrument_id for test in read}, struck="").exclude(gas="")
    written: dict[int, list[str]] = {}
    for instrument, gas in rows.values_list("instrument", "gas").order_by().distinct():
        written.setdefault(instrument, []).append(gas)
    return filled, {instrument for instrument, gas in written.items() if reads_current(gas)}


def _line(test: TubeTest, beside: _Beside, rows: Limits) -> TestLine:
    if test.struck:
        return TestLine(test, None, None)
    minimums, firsts = beside.minimums, beside.firsts
    of_type = minimum_for(test.tube, test.instrument_id, test.section, minimums)
    first = firsts.get((test.tube_id, test.instrument_id, test.section))
    earlier = first if first is not None and first.pk != test.pk else None
    reading = Reading(
        figure=test.reading,
        shorted={TubeTest.FOUND: True, TubeTest.NONE_FOUND: False}.get(test.shorts),
        minimum=test.minimum,
        type_minimum=of_type.minimum if of_type else None,
        first=earlier.reading if earlier else None,
        minimum_source=of_type.source if of_type and test.minimum is None else "",
        gas=test.gas,
        leakage=test.shorts_words,
        noisy={TubeTest.FOUND: True, TubeTest.NONE_FOUND: False}.get(test.noise),
        filled=beside.filled.get(test.tube.type.name, "") if test.tube.type else "",
        gas_in_current=test.instrument_id in beside.in_current,
        first_set_otherwise=earlier is not None and differ((earlier.set_to, test.set_to)),
    )
    act = None
    if test.reading and test.reduced is not None:
        act = activity(test.reading, test.reduced, rows)
    kind = test.tube.type
    double = bool(test.section and kind and number_of(kind.name) in beside.doubles)
    return TestLine(test, judge(reading, rows), act, double)


def _minimums(tests: Sequence[TubeTest]) -> dict[tuple[int, int, str], TypeMinimum]:
    types = {test.tube.type_id for test in tests} - {None}
    found = TypeMinimum.objects.filter(type__in=types, instrument__in={test.instrument_id for test in tests})
    return {(row.type_id, row.instrument_id, row.section): row for row in found}


def minimum_for(
    tube: Tube, instrument: int, section: str, minimums: dict[tuple[int, int, str], TypeMinimum]
) -> TypeMinimum | None:
    """The reject limit of a tube's type on an instrument: of that section, or of every section."""
    if tube.type_id is None:
        return None
    return minimums.get((tube.type_id, instrument, section)) or minimums.get((tube.type_id, instrument, ""))


def _firsts(tubes: Iterable[int]) -> dict[Key, TubeTest]:
    """The first reading of each tube on each instrument and section: its hundred per cent."""
    wanted = set(tubes)
    rows = TubeTest.objects.filter(struck="", reading__isnull=False).order_by(*IN_TIME)
    if len(wanted) <= FEW:
        rows = rows.filter(tube__in=wanted)
    firsts: dict[Key, TubeTest] = {}
    for row in (one for one in rows if one.tube_id in wanted):
        firsts.setdefault((row.tube_id, row.instrument_id, row.section), row)
    return firsts


FAR_TIMES, FAR_MINIMUMS = 3, 10  # from there a reading is asked about once; our choice, no source


def reading_far_off(new: TubeTest) -> str:
    """Why a reading is hardly what the pointer showed: far above the tube's last one there, or above its minimum.

    Empty: nothing speaks against it, or it stands so on record already. At most three queries.
    """
    if not new.reading:
        return ""
    alike = TubeTest.objects.filter(tube=new.tube, instrument=new.instrument, section=new.section, struck="")
    if new.pk and alike.filter(pk=new.pk, reading=new.reading).exists():
        return ""
    earlier = alike.exclude(pk=new.pk).filter(on__lte=new.on, reading__isnull=False).order_by(*LATEST_FIRST).first()
    if earlier and earlier.reading and new.reading > FAR_TIMES * earlier.reading:
        return f"{new.reading_text} is more than {FAR_TIMES} times its {earlier.reading_text} of {earlier.on}."
    of_type = minimum_for(new.tube, new.instrument_id, new.section, _minimums([new]))
    least = new.minimum if new.minimum is not None else of_type.minimum if of_type else None
    if least and new.reading > FAR_MINIMUMS * least:
        return f"{new.reading_text} is more than {FAR_MINIMUMS} times its minimum, {least:g}."
    return ""


# --- one tube ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class TrendLine:
    """A tube's readings of one instrument and section against hours, or days."""

    trend: Trend
    unit: str
    minimum: float | None
    tests: tuple[TubeTest, ...]
    fittings: tuple[Fitting, ...]


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
    return SessionSoFar(done, _advice_of(tube, lines, on))


def tube_story(tube: Tube, on: date) -> TubeStory:
    """A tube's hours, tests, verdict, advice and trends (a fixed number of queries)."""
    rows = limits()
    about = Q(tube=tube) | _good_of_type([tube.type_id] if tube.type_id else [])
    told = _advice_of(tube, judged(test_list().filter(about, on__lte=on), rows), on)
    records = tube_records([tube], rows)
    (account,) = accounts_of(records, on)
    return TubeStory(
        **vars(told),
        account=account,
        corrections=tuple(tube.hours_corrections.order_by("-on", "-pk")),
        trends=_trends(told.lines, records),
        judged_by=tuple(rows.row(key) for key in (BORDERLINE_PCT, ACTIVITY_PCT, GAS_DIV) if key in rows),
    )


def verdicts_of(tubes: Iterable[Tube]) -> dict[int, str]:
    """The verdict of the last tests of each of these tubes, as on its page, by key; those never tested are left out.

    A fixed number of queries, whatever their number.
    """
    told = told_of_many(tube.pk for tube in tubes)
    return {key: one.verdict.verdict for key, one in told.items()}


@dataclass(frozen=True)
class Told:
    """What the last tests of a tube say together. ``against``: what speaks against it, in a word; empty: nothing."""

    lines: tuple[TestLine, ...]
    verdict: Verdict
    against: str
    on: date


def told_of_many(keys: Iterable[int]) -> dict[int, Told]:
    """What the last tests of each of these tubes say, by key; those never tested are left out.

    A fixed number of queries, whatever their number.
    """
    wanted = set(keys)
    if not wanted:
        return {}
    rows = test_list().filter(struck="")
    if len(wanted) <= FEW:
        rows = rows.filter(tube__in=wanted)
    tests = [row for row in rows if row.tube_id in wanted]
    return told_by(_by_tube(judged(tests) if tests else ()))


def _by_tube(lines: Iterable[TestLine]) -> dict[int, list[TestLine]]:
    found: dict[int, list[TestLine]] = {}
    for line in lines:
        found.setdefault(line.test.tube_id, []).append(line)
    return found


def told_by(by_tube: Mapping[Named, Sequence[TestLine]]) -> dict[Named, Told]:
    """As above, of judged tests by tube, the latest first."""
    told = ((key, _told(lines)) for key, lines in by_tube.items())
    return {key: one for key, one in told if one is not None}


def _is_good_one_of(tube: Tube, other: Tube) -> bool:
    alike = other.type_id is not None and other.type_id == tube.type_id
    return alike and other.state == Tube.GOOD and other.item.gone_on is None


def _told(lines: Sequence[TestLine]) -> Told | None:
    latest = _latest(lines)
    verdict = _held(_whole(latest, lines), latest, lines)
    if verdict is None:
        return None
    doubt = doubt_of(lines) if verdict.verdict != REJECT else None
    on = doubt[0].test.on if doubt else latest[0].test.on
    return Told(tuple(lines), verdict, against(verdict, shorted=_shorted(latest)), on)


def doubts_of(keys: Iterable[int]) -> dict[int, Doubt]:
    """What the last tests of some tubes say against them, by key, whatever the keeper calls them (as above)."""
    return {key: Doubt(one.against, one.on) for key, one in told_of_many(keys).items() if one.against}


def _tests_of(tube: Tube, on: date) -> QuerySet[TubeTest]:
    tests = TubeTest.objects.filter(tube=tube, on__lte=on).select_related("instrument", "tube__type", "tube__item")
    return tests.order_by(*LATEST_FIRST)


def _good_of_type(types: Any) -> Q:
    """A condition on tests: of tubes here of one of these types that are called good."""
    return Q(tube__type__in=types, tube__state=Tube.GOOD, tube__item__gone_on__isnull=True)


def _advice_of(tube: Tube, tests: Sequence[TestLine], on: date) -> TubeAdvice:
    """Advice by its tests and those of the good ones of its type; ``tests``: of any tubes, the latest first."""
    by_tube = _by_tube(tests)
    lines = by_tube.pop(tube.pk, [])
    latest = _latest(lines)
    verdict = _held(_whole(latest, lines), latest, lines)
    others = [one for one in told_by(by_tube).values() if _is_good_one_of(tube, one.lines[0].test.tube)]
    advice = advise(_advice_facts(tube, lines, latest, verdict, on, others))
    return TubeAdvice(tuple(lines), latest, verdict, advice, _proposed(lines, latest, verdict))


def _latest(lines: Sequence[TestLine]) -> tuple[TestLine, ...]:
    """The last tests: of the last day and instrument on which it was tested, one a section."""
    counting = [line for line in lines if line.verdict]
    if not counting:
        return ()
    top = counting[0].test
    by_section: dict[str, TestLine] = {}
    for line in counting:
        if (line.test.on, line.test.instrument_id) == (top.on, top.instrument_id):
            by_section.setdefault(line.test.section, line)
    return tuple(by_section[name] for name in sorted(by_section))


def _whole(latest: Sequence[TestLine], lines: Sequence[TestLine]) -> Verdict | None:
    """The verdict on the whole tube; a section that it has, or that was ever read, and is not among them is missing."""
    found = {line.test.section: line.verdict for line in latest if line.verdict}
    if not found:
        return None
    ever = {line.test.section for line in lines if line.verdict and line.test.section} if any(found) else set()
    return whole_tube(found, tuple(sorted({*found, *ever, *_other_sections(latest, ever)})))


PAIR = frozenset({"1", "2"})  # how the sections of a double tube are numbered


def _other_sections(latest: Sequence[TestLine], ever: Collection[str]) -> frozenset[str]:
    """The section of a double tube that was never read beside the one that was."""
    if len(ever) != 1 or not any(line.double for line in latest):
        return frozenset()
    return PAIR.difference(ever) if PAIR.issuperset(ever) else frozenset({OTHER_SECTION})


def _held(verdict: Verdict | None, latest: Sequence[TestLine], lines: Sequence[TestLine]) -> Verdict | None:
    """The verdict with what an earlier test found of gas or shorts and no later one looked at again."""
    if verdict is None:
        return None
    last = {line.test.pk for line in latest}
    for looked_for in (_leakage_in, _gas_in):
        earlier = (found for found in _unsettled(lines, looked_for) if found[0].test.pk not in last)
        if found := next(earlier, None):
            line, doubt = found
            seen = f"On {line.test.on} {doubt} was found, and nobody looked again since."
            verdict = verdict.doubted(doubt, f"{seen} It is borderline at best.")
    return verdict


def doubt_of(lines: Sequence[TestLine]) -> tuple[TestLine, str] | None:
    """What the tests of a tube, the latest first, leave in doubt: shorts or leakage, else gas; and in which test."""
    found = (one for looked_for in (_leakage_in, _gas_in) for one in _unsettled(lines, looked_for))
    return next(found, None)


def _unsettled(
    lines: Sequence[TestLine], looked_for: Callable[[TestLine], str | None]
) -> Iterator[tuple[TestLine, str]]:
    """Findings of one kind that no later test cleared, the latest first."""
    looked: set[str] = set()  # sections that a later test looked at; "": the whole tube
    for line in lines:
        if not line.verdict or (doubt := looked_for(line)) is None:
            continue
        section = line.test.section
        if doubt and not (section in looked or "" in looked or (not section and looked)):
            yield line, doubt
        looked.add(section)


def _gas_in(line: TestLine) -> str | None:
    """The doubt that a test of gas leaves, "" none; None where nobody looked."""
    return {OVER: GAS, TOLD: GAS_TOLD, CLEAR: ""}.get(line.verdict.gas) if line.verdict else None


def _leakage_in(line: TestLine) -> str | None:
    """As above, of shorts and leakage."""
    if line.test.shorts == TubeTest.FOUND or leaks(line.test.shorts_words):
        return LEAKAGE
    return None if line.test.shorts == TubeTest.NOT_DONE else ""


def _rejects(lines: Sequence[TestLine]) -> int:
    """Days in a row, up to the last, on which it was tested and read below its limit."""
    worst: dict[date, bool] = {}
    for line in lines:
        if line.verdict:
            worst[line.test.on] = worst.get(line.test.on, False) or line.word == REJECT
    count = 0
    for rejected in worst.values():
        if not rejected:
            break
        count += 1
    return count


def _shorted(latest: Sequence[TestLine]) -> bool:
    return any(line.test.shorts == TubeTest.FOUND for line in latest)


def _proposed(lines: Sequence[TestLine], latest: Sequence[TestLine], verdict: Verdict | None) -> str:
    """The state the tests speak for; one reading below the limit makes no dud yet. The keeper has the last word."""
    if verdict is None:
        return ""
    if _shorted(latest):
        return Tube.DUD
    if verdict.verdict == REJECT:
        return Tube.DUD if _rejects(lines) > 1 else Tube.WEAK
    return {GOOD: Tube.GOOD, BORDERLINE: Tube.WEAK}.get(verdict.verdict, "")


def _advice_facts(
    tube: Tube,
    lines: Sequence[TestLine],
    latest: Sequence[TestLine],
    verdict: Verdict | None,
    on: date,
    others: Sequence["Told"],
) -> AdviceFacts:
    fitted = open_fittings().filter(tube=tube).exists()
    if verdict is None:
        return AdviceFacts(None, fitted=fitted)
    last = latest[0].test
    known = tube.type_id is not None
    doubted = {one.lines[0].test.tube_id for one in others if one.against}
    called = tubes_here().filter(AT_HAND, type=tube.type_id, state=Tube.GOOD)
    good = sum(key not in doubted for key in called.values_list("pk", flat=True)) if known else 0
    alike = _taken_as(tube)
    places = Position.objects.filter(  # one for each chassis; a model that nobody owns joins as a row of nothing
        type__name__in=alike, set_model__chassis__isnull=False, set_model__chassis__item__gone_on__isnull=True
    )
    every = Care.objects.filter(Q(item=tube.item) | Q(type=tube.type_id), work=Care.TEST, ended_on__isnull=True)
    months = every.filter(every_months__isnull=False).values_list("every_months", flat=True).first()
    return AdviceFacts(
        verdict.verdict,
        shorted=_shorted(latest),
        rejects=_rejects(lines),
        fitted=fitted,
        places=places.count() if known else 0,
        good=good,
        rank=_rank(lines, latest, others),
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


def _rank(lines: Sequence[TestLine], latest: Sequence[TestLine], others: Sequence["Told"]) -> int:
    """Its place among the tubes of its type whose last tests call them good, by their last readings there, 1 the best.

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


# --- trend ------------------------------------------------------------------------------------------------------------


def _trends(lines: Sequence[TestLine], records: TubeRecords) -> tuple[TrendLine, ...]:
    """A trend for each instrument and section on which it was read, those with most readings first."""
    groups: dict[tuple[int, str], list[TestLine]] = {}
    for line in reversed(lines):
        if line.verdict and line.test.reading is not None:
            groups.setdefault((line.test.instrument_id, line.test.section), []).append(line)
    found = [_trend_line(group, records) for group in groups.values()]
    return tuple(sorted(found, key=lambda one: (-len(one.tests), -one.tests[-1].on.toordinal(), one.trend.section)))


def _trend_line(group: Sequence[TestLine], records: TubeRecords) -> TrendLine:
    (tube,), (fact,), times = records.tubes, records.facts, records.times
    fittings = records.fittings.get(tube.pk, [])
    tests = [line.test for line in group]
    days = [test.on for test in tests]
    known = _in_no_set(fact, fittings, days) or _logged(fittings, times, days)
    hours = hours_on_days(fact, times, days) if known else [None] * len(days)
    points = [
        TrendPoint(test.on, float(test.reading or 0.0), ran, test.instrument.name, test.section, test.set_to)
        for test, ran in zip(tests, hours, strict=True)
    ]
    last = group[-1].verdict
    minimum = last.limit if last else None
    shown = tuple(f for f in fittings if f.since <= days[-1] and (f.until is None or f.until >= days[0]))
    return TrendLine(trend(tube.tag, points, minimum), tests[0].instrument.unit, minimum, tuple(tests), shown)


def _in_no_set(fact: TubeFact, fittings: Sequence[Fitting], days: Sequence[date]) -> bool:
    """Whether it lay on the shelf between the first and the last test: by the record it did not run."""
    return not fact.corrections and not _during(fittings, days)


def _during(fittings: Sequence[Fitting], days: Sequence[date]) -> list[Fitting]:
    return [f for f in fittings if f.since < days[-1] and (f.until is None or f.until > days[0])]


def _logged(fittings: Sequence[Fitting], times: RunningTimes, days: Sequence[date]) -> bool:
    """Whether every set it was in between the first and the last test has a log or a meter: else hours are unknown."""
    during = _during(fittings, days)
    return bool(during) and all(f.chassis_id in times.numbers for f in during)


def tube_trend(tube: Tube, on: date, instrument: Instrument | None = None, section: str | None = None) -> Trend | None:
    """The trend of a tube on one instrument and section: that asked for, else the one with most readings."""
    tests = _tests_of(tube, on)
    if instrument:
        tests = tests.filter(instrument=instrument)
    if section is not None:
        tests = tests.filter(section=section)
    rows = limits()
    found = _trends(judged(tests, rows), tube_records([tube], rows))
    return found[0].trend if found else None


# --- for other pages --------------------------------------------------------------------------------------------------


def latest_readings(items: Iterable[Any]) -> dict[int, str]:
    """The last reading of some tubes in words, for their labels: reading / minimum, unit, instrument, day."""
    keys = [item.pk for item in items]
    rows = TubeTest.objects.filter(tube__in=keys, struck="", reading__isnull=False)
    tests = list(rows.select_related("instrument", "tube__type").order_by(*IN_TIME))
    minimums = _minimums(tests)
    words: dict[int, dict[str, str]] = {}
    last: dict[int, TubeTest] = {}
    for test in tests:
        before = last.get(test.tube_id)
        if before is None or (before.on, before.instrument_id) != (test.on, test.instrument_id):
            words[test.tube_id] = {}
        last[test.tube_id] = test
        of_type = minimum_for(test.tube, test.instrument_id, test.section, minimums)
        least = test.minimum if test.minimum is not None else of_type.minimum if of_type else None
        figure = test.reading_text if least is None else f"{test.reading_text} / min {least:g}"
        words[test.tube_id][test.section] = f"{test.section}: {figure}" if test.section else figure
    return {
        key: ", ".join(
            (f"{'; '.join(words[key].values())} {test.unit_beside}".strip(), str(test.instrument), f"{test.on}")
        )
        for key, test in last.items()
    }
