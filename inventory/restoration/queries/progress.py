"""How far a plan is: what was done, what waits, every tube that went in or out since it began, with its readings."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, Q, QuerySet

from inventory.holdings.models import Movement
from inventory.house.areas import thing_columns
from inventory.restoration.models import Plan, Requirement, Work
from inventory.running.models import TubeTest
from inventory.running.queries.order import IN_TIME
from inventory.sets.models import Chassis, Fitting


@dataclass(frozen=True)
class Swap:
    """A tube that went into a position since a plan began, or came out of it; None: there was or is none.

    ``came_from``: where the tube was before, in words; ``before``, ``after``: its last reading until it went in, and
    its last one since; ``out_reading``: the last reading of the tube that came out.
    """

    fitting: Fitting
    came_in: Fitting | None
    went_out: Fitting | None
    came_from: str = ""
    before: str = ""
    after: str = ""
    out_reading: str = ""

    @property
    def on(self) -> date | None:
        """The day of the change."""
        return self.came_in.since if self.came_in else self.went_out.until if self.went_out else None


@dataclass(frozen=True)
class Progress:
    """How far a plan is. ``since``: from which day on tubes are told; None: nobody said when it began.

    ``works``: latest first, struck ones among them; ``done``, ``waiting``, ``open``: lines of the keeper's own.
    """

    plan: Plan
    sets: tuple[Chassis, ...]
    since: date | None
    works: tuple[Work, ...]
    done: tuple[Requirement, ...]
    waiting: tuple[Requirement, ...]
    open: tuple[Requirement, ...]
    swaps: tuple[Swap, ...]

    def swaps_of(self, chassis: Chassis) -> tuple[Swap, ...]:
        """Those of one set."""
        return tuple(one for one in self.swaps if one.fitting.chassis_id == chassis.pk)

    def done_of(self, chassis: Chassis) -> tuple[Requirement, ...]:
        """Lines that are done and ask for one set, or for no set by name."""
        return tuple(row for row in self.done if row.chassis_id in (None, chassis.pk))

    def works_of(self, chassis: Chassis) -> tuple[Work, ...]:
        """What was done to one set and stands, the earliest first."""
        return tuple(one for one in reversed(self.works) if one.chassis_id == chassis.pk and not one.struck)


def works_of(plan: Plan) -> QuerySet[Work]:
    """What was done in a plan, the latest first, with what was put in and the photographs of it."""
    rows = plan.works.select_related("put_in", "chassis__model", "chassis__item", *thing_columns("put_in__"))
    return rows.prefetch_related("photographs").order_by("-on", F("at").desc(nulls_last=True), "-pk")


def progress_of(plan: Plan) -> Progress:
    """How far a plan is (a fixed number of queries)."""
    sets = tuple(plan.sets.select_related("model", "item__place"))
    works = tuple(works_of(plan))
    lines = list(plan.requirements.filter(struck="").select_related("type"))
    since = _began(plan, works)
    return Progress(
        plan, sets, since, works,
        tuple(row for row in lines if row.done_on),
        tuple(row for row in lines if row.waiting_for and not row.done_on),
        tuple(row for row in lines if not row.waiting_for and not row.done_on),
        tuple(_swaps(sets, since, plan.ended)) if since else (),
    )  # fmt: skip


def _began(plan: Plan, works: Sequence[Work]) -> date | None:
    """The day that the keeper wrote, else that of the first work or finding."""
    return plan.began or first_recorded(plan, works)


def first_recorded(plan: Plan, works: Sequence[Work] | None = None) -> date | None:
    """The day of the first work or finding of a plan that stands; ``works``: all of it where they are at hand."""
    found = plan.findings.filter(struck="").order_by("on").values_list("on", flat=True).first()
    rows = plan.works.filter(struck="") if works is None else works
    return min([work.on for work in rows if not work.struck] + ([found] if found else []), default=None)


def _swaps(sets: Iterable[Chassis], since: date, ended: date | None) -> list[Swap]:
    """Every change of a tube from a day on, to the end of the plan, in the order of the positions (four queries)."""
    rows = Fitting.objects.filter(chassis__in=[one.pk for one in sets]).filter(Q(until=None) | Q(until__gte=since))
    rows = rows.select_related("tube__item", "tube__type", "chassis__model", "chassis__item", "position")
    by_place: dict[tuple[int, int], list[Fitting]] = defaultdict(list)
    for row in rows.order_by("chassis", "position", "since", F("since_at").asc(nulls_first=True), "pk"):
        if ended is None or row.since <= ended:
            by_place[row.chassis_id, row.position_id].append(row)
    readings = _readings([row for several in by_place.values() for row in several])
    moves = _moves([row for several in by_place.values() for row in several if row.since >= since])
    told = []
    for several in by_place.values():
        before: Fitting | None = None
        for row in several:
            if row.since >= since:
                told.append(_swap(row, before, readings, moves))
            before = row
        if before and before.until and (ended is None or before.until <= ended):  # nothing in its place
            told.append(Swap(before, None, before, out_reading=readings.last(before, before.until)))
    return told


def swaps_after(sets: Iterable[Chassis], ended: date) -> tuple[Swap, ...]:
    """Every change of a tube after the day on which a plan was finished (four queries)."""
    return tuple(_swaps(sets, ended + timedelta(days=1), None))


def _swap(row: Fitting, before: Fitting | None, readings: "_Readings", moves: dict[int, str]) -> Swap:
    tube = row.tube
    acquired = " ".join(
        text for text in (tube.acquired_how, f"from {tube.acquired_from}" * bool(tube.acquired_from)) if text
    )
    return Swap(
        row, row, before, moves.get(row.pk, "") or acquired, readings.last(row, row.since), readings.since(row),
        readings.last(before, before.until or row.since) if before else "",
    )  # fmt: skip


def _moves(rows: Sequence[Fitting]) -> dict[int, str]:
    """The places that tubes left to go into their positions, by the key of the fitting."""
    found: dict[tuple[int, date], str] = {}
    moves = Movement.objects.filter(item__in=[row.tube_id for row in rows], to_path__startswith="in ").order_by("pk")
    for item, on, path in moves.values_list("item", "on", "from_path"):
        found[item, on] = path
    return {row.pk: found.get((row.tube_id, row.since), "") for row in rows}


@dataclass(frozen=True)
class _Readings:
    """The tests of some tubes in order of time."""

    tests: dict[int, list[TubeTest]]

    def last(self, row: Fitting, on: date) -> str:
        """The last one of a tube until a day, that day among them."""
        return _words([test for test in self.tests.get(row.tube_id, []) if test.on <= on])

    def since(self, row: Fitting) -> str:
        """The last one of a tube while it is in its position, the day on which it went in left out."""
        tests = self.tests.get(row.tube_id, [])
        return _words([test for test in tests if test.on > row.since and (row.until is None or test.on <= row.until)])


def _readings(rows: Sequence[Fitting]) -> _Readings:
    tests: dict[int, list[TubeTest]] = defaultdict(list)
    found = TubeTest.objects.filter(tube__in={row.tube_id for row in rows}, struck="").select_related("instrument")
    for test in found.order_by(*IN_TIME):
        tests[test.tube_id].append(test)
    return _Readings(tests)


def _words(tests: Sequence[TubeTest]) -> str:
    """The last of some tests in words: every section that was read that day on that instrument."""
    if not tests:
        return ""
    last = tests[-1]
    alike = [test for test in tests if (test.on, test.instrument_id) == (last.on, last.instrument_id)]
    by_section = {test.section: _figure(test) for test in alike}
    figures = "; ".join(f"{section}: {figure}" if section else figure for section, figure in by_section.items())
    return f"{figures}, {last.instrument}, {last.on}"


def _figure(test: TubeTest) -> str:
    if test.shorts == TubeTest.FOUND:
        return f"shorted {test.shorts_words}".strip()
    return f"{test.reading_text} {test.unit_beside}".strip() or "no reading"
