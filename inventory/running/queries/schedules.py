"""Questions about schedules: what is due, of which thing, and why."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import Max, Q, QuerySet

from inventory.holdings.models import Item, Movement, Tube
from inventory.holdings.queries.conditions import looks_due
from inventory.holdings.queries.loans import loans_due
from inventory.house.records.moments import axis
from inventory.running.models import Care, CareDone, TubeTest
from inventory.running.queries.hours import FOREVER, SetHours, apart, metered_sets, times_of, tube_facts
from inventory.running.rules.hours import RunningTimes, TubeFact, hours_on_days
from inventory.running.rules.schedules import CareFact, Due, MercuryFact, calendar_text, due, mercury_due, soon
from inventory.sets.models import Fitting
from inventory.sets.queries import open_fittings

YEAR = timedelta(days=365)
SHOWN_DAYS = 30  # the first page shows what is due within a month
NOT_FOR_DUDS = (Care.TEST, Care.CONDITION, Care.WARM_UP)


@dataclass(frozen=True)
class DueLine:
    """Something due, with the thing and the rule it comes from (None: the mercury of a rectifier)."""

    due: Due
    item: Item | None
    care: Care | None
    on: date | None = None  # the day that was asked about

    @property
    def standing(self) -> str:
        """In words, where it is due: what falls due on the very day is not overdue yet."""
        if not self.due.overdue:
            return ""
        return "due today" if self.due.when == self.on else "overdue"


def cares() -> QuerySet[Care]:
    """Every rule, those still in force first."""
    return Care.objects.select_related("item", "type").order_by("ended_on", "work", "pk")


def care_done() -> QuerySet[CareDone]:
    """What was done, the latest first."""
    return CareDone.objects.select_related("care__type", "care__item", "item").order_by("-on", "-pk")


def dues(on: date) -> list[DueLine]:
    """Everything that is due at some time by the rules in force, soonest first (a fixed number of queries)."""
    return _dues(on)[0]


def _dues(on: date, also: Iterable[int] = ()) -> tuple[list[DueLine], RunningTimes]:
    """``dues``, and the running time that was fetched for them; ``also``: keys of sets to fetch it of besides."""
    rows = list(cares().filter(ended_on__isnull=True))
    things = _things(rows)
    ran = _Ran(things, on, also)
    done, tested, out = _done(rows), _tested(things), _came_out(things)
    found = []
    for care, item in things:
        last = done.get((care.pk, item.pk))
        if care.work == Care.TEST and (test := tested.get(item.pk)):
            last = max(last, test) if last else test
        if answer := due(_fact(care, item, last, out, ran), on):
            found.append(DueLine(answer, item, care, on))
    found += _mercury(on)
    return sorted(found, key=lambda line: (line.due.when or date.max, line.due.thing)), ran.times


def dues_soon(on: date, days: int = SHOWN_DAYS) -> list[DueLine]:
    """What is overdue or due within some days."""
    return _soon(dues(on), on, days)


def due_and_apart(on: date, days: int = SHOWN_DAYS) -> tuple[list[DueLine], list[SetHours]]:
    """``dues_soon`` and ``log_differences`` from one look at the log."""
    sets = metered_sets()
    lines, times = _dues(on, [one.pk for one in sets])
    return _soon(lines, on, days), apart(sets, times, on)


def _soon(lines: Iterable[DueLine], on: date, days: int) -> list[DueLine]:
    by_due = {id(line.due): line for line in lines}
    return [by_due[id(one)] for one in soon([line.due for line in by_due.values()], on, days)]


def calendar(on: date, stamp: datetime) -> str:
    """Everything that is due on a day, loans and things to look at again among it, as iCalendar text."""
    return calendar_text([*(line.due for line in dues(on)), *_loans(on), *_looks(on)], stamp)


def _loans(on: date) -> list[Due]:
    """The days on which loans are due, both ways."""
    return [
        Due(
            what="due back" if one.loan.way == one.loan.OUT else "to be given back", thing=one.loan.item.tag,
            when=one.loan.due, why=one.words, source="", overdue=one.overdue, rule=f"loan {one.loan.pk}",
        )
        for one in loans_due(on, None)
    ]  # fmt: skip


def _looks(on: date) -> list[Due]:
    """The days on which things are to be looked at again."""
    return [
        Due(
            what="look at it again", thing=one.row.item.tag, when=one.row.look_again, why=one.words, source="",
            overdue=one.overdue, rule=f"condition {one.row.pk}",
        )
        for one in looks_due(on, None)
    ]  # fmt: skip


def _things(rows: Sequence[Care]) -> list[tuple[Care, Item]]:
    """Each rule with each thing here that it is about (three queries).

    Only stored tubes are conditioned, and a dud is neither conditioned nor warmed up nor tested again.
    """
    types = {care.type_id for care in rows if care.type_id}
    tubes = Tube.objects.filter(type__in=types, item__gone_on__isnull=True).select_related("item").order_by("item__tag")
    of_type: dict[int, list[Item]] = {}
    for tube in tubes:
        of_type.setdefault(tube.type_id or 0, []).append(tube.item)
    pairs = [(care, item) for care in rows for item in of_type.get(care.type_id or 0, [])]
    pairs += [(care, care.item) for care in rows if care.item and not care.item.gone_on]
    stored_only = [item.pk for care, item in pairs if care.work == Care.CONDITION]
    fitted = set(open_fittings().filter(tube__in=stored_only).values_list("tube", flat=True))
    asked = [item.pk for care, item in pairs if care.work in NOT_FOR_DUDS]
    duds = set(Tube.objects.filter(pk__in=asked, state=Tube.DUD).values_list("pk", flat=True))
    return [
        (care, item)
        for care, item in pairs
        if not (care.work == Care.CONDITION and item.pk in fitted)
        and not (care.work in NOT_FOR_DUDS and item.pk in duds)
    ]


def _done(rows: Iterable[Care]) -> dict[tuple[int, int], date]:
    """The last day on which each rule was done on each thing."""
    last = CareDone.objects.filter(care__in=list(rows), struck="").order_by().values_list("care", "item")
    return {(care, item): on for care, item, on in last.annotate(Max("on"))}


def _tested(things: Iterable[tuple[Care, Item]]) -> dict[int, date]:
    """The day of the last test of each tube that is to be tested."""
    keys = {item.pk for care, item in things if care.work == Care.TEST}
    return dict(TubeTest.objects.filter(tube__in=keys, struck="").order_by().values_list("tube").annotate(Max("on")))


def _came_out(things: Iterable[tuple[Care, Item]]) -> dict[int, date]:
    """The day on which each stored tube that is to be conditioned last came out of a set."""
    keys = {item.pk for care, item in things if care.work == Care.CONDITION}
    ended = Fitting.objects.filter(tube__in=keys, until__isnull=False).order_by()
    return dict(ended.values_list("tube").annotate(Max("until")))


class _Ran:
    """Hours of the things that have a rule in hours: tubes and sets, from one fetch."""

    def __init__(self, things: Iterable[tuple[Care, Item]], on: date, also: Iterable[int] = ()) -> None:
        self.on = on
        items = {item.pk: item for care, item in things if care.every_hours}
        tubes = list(Tube.objects.filter(pk__in=[key for key, item in items.items() if item.kind == Item.TUBE]))
        facts, fittings = tube_facts(tubes)
        self.tubes: dict[int, TubeFact] = {tube.pk: fact for tube, fact in zip(tubes, facts, strict=True)}
        self.sets = {key for key, item in items.items() if item.kind == Item.CHASSIS}
        fitted = (row.chassis_id for rows in fittings.values() for row in rows)
        self.times: RunningTimes = times_of({*self.sets, *fitted, *also})

    def on_days(self, key: int, days: Sequence[date]) -> list[float] | None:
        """Hours of a thing at the start of some days; None for a thing whose hours nobody counts."""
        if fact := self.tubes.get(key):
            return hours_on_days(fact, self.times, days)
        if key not in self.sets:
            return None
        since = self.times.keys([key] * len(days), [FOREVER] * len(days))
        ran = self.times.between(since, self.times.keys([key] * len(days), [axis(day) for day in days]))
        return [float(hours) for hours in ran.hours]


def _fact(care: Care, item: Item, last: date | None, out: Mapping[int, date], ran: _Ran) -> CareFact:
    bare = CareFact(
        work=care.work,
        thing=item.tag,
        words=care.words,
        since=care.since,
        every_months=care.every_months,
        every_hours=care.every_hours,
        done=last,
        source=care.source,
        rule=str(care.pk),
        came_out=out.get(item.pk) if care.work == Care.CONDITION else None,
    )
    if not care.every_hours:
        return bare
    tomorrow = ran.on + timedelta(days=1)
    hours = ran.on_days(item.pk, [tomorrow, bare.begins, tomorrow - YEAR])
    if not hours:
        return bare
    return replace(bare, hours_now=hours[0], hours_then=hours[1], hours_a_month=(hours[0] - hours[2]) / 12)


def _mercury(on: date) -> list[DueLine]:
    """Mercury rectifiers in sets, no duds, that were put in, or carried with their set, and not warmed up since.

    A tube in a set is not moved by itself, so the moves of its set count; those before it was put in come earlier.
    """
    named = Q(tube__type__table_caution__icontains="mercury") | Q(tube__type__hazard__icontains="mercury")
    fitted = (
        open_fittings()
        .filter(named)
        .exclude(tube__state=Tube.DUD)
        .select_related("tube__item", "tube__type", "chassis")
    )
    rows = list(fitted.order_by("tube__item__tag"))
    things = {key for row in rows for key in (row.tube_id, row.chassis.item_id)}
    moved = dict(Movement.objects.filter(item__in=things).order_by().values_list("item").annotate(Max("on")))
    warm = CareDone.objects.filter(
        care__work=Care.WARM_UP, item__in=[row.tube_id for row in rows], struck=""
    ).order_by()
    warmed = dict(warm.values_list("item").annotate(Max("on")))
    found = []
    for row in rows:
        name = row.tube.type.name if row.tube.type else row.tube.marked
        carried = [moved[key] for key in (row.tube_id, row.chassis.item_id) if key in moved]
        fact = MercuryFact(row.tube.tag, name, max([row.since, *carried]), warmed.get(row.tube_id))
        if answer := mercury_due(fact, on):
            found.append(DueLine(answer, row.tube.item, None, on))
    return found
