"""Changes of plans, their lines, and what was done."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day, check_moment
from inventory.holdings.actions.locking import locked_all
from inventory.holdings.models import Paper, PartLot
from inventory.house.writing import refuse, write
from inventory.restoration.actions.keeping import release
from inventory.restoration.models import Plan, Requirement, Reservation, WeakPart, Work
from inventory.sets.models import Chassis


@transaction.atomic
def save_plan(row: Plan, sets: Sequence[Chassis], *, today: date, by: Any, reason: str = "") -> Plan:
    """Write a plan and its sets. To restore takes one set, which is in no other open plan; to keep running any number.

    A plan that is finished or laid aside gives back what was kept for it.
    """
    for name in ("began", "ended"):
        if day := getattr(row, name):
            check_day(day, name, today)
    if row.began and row.ended and row.ended < row.began:
        raise refuse("ended", f"{row.ended} is before {row.began}, when it began.")
    if not sets:
        raise refuse("sets", "Name at least one set.")
    if row.aim == Plan.RESTORE and len(sets) != 1:
        raise refuse("sets", f"{len(sets)} sets are named; a restoration is of one. Make a plan for each.")
    now = {item.pk: item for item in locked_all([chassis.item for chassis in sets])}  # of two plans the later is told
    if row.is_open:
        for chassis in sets:
            chassis.item = now.get(chassis.pk, chassis.item)
            other = chassis.plans.filter(state__in=Plan.OPEN).exclude(pk=row.pk).first()
            if other is not None:
                raise refuse("sets", f"{chassis} is in the open plan {other} already.")
            if chassis.item.gone_on:
                raise refuse("sets", f"{chassis} left the collection on {chassis.item.gone_on}.")
    write(row, by=by, reason=reason)
    row.sets.set(sets)
    if not row.is_open:
        for kept in row.reservations.all():
            release(kept, by=by)
    return row


@transaction.atomic
def save_requirement(row: Requirement, *, today: date, by: Any, reason: str = "") -> Requirement:
    """Write a line of the keeper's own. A chassis it names is one of the plan's."""
    if row.done_on:
        check_day(row.done_on, "done_on", today)
    if row.chassis_id and not row.plan.sets.filter(pk=row.chassis_id).exists():
        raise refuse("chassis", f"{row.chassis} is no set of this plan.")
    if row.type_id and row.kind != Requirement.PART:
        raise refuse("type", "Only a part has a kind of part; leave it empty, or say that the line is a part.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_weak_part(row: WeakPart, *, by: Any, reason: str = "") -> WeakPart:
    """Write a part that is known to fail in a set model."""
    return write(row, by=by, reason=reason)


@transaction.atomic
def record_work(
    row: Work, *, today: date, by: Any, reason: str = "", photographs: Sequence[Paper] | None = None,
    settles: bool = False,
) -> Work:  # fmt: skip
    """Write something done to a set; a lot from which parts were used is so many smaller.

    ``photographs``: of it (None: left as they are); ``settles``: the line that it names is done with it. Refuses more
    than the lot is known to hold, and a set that is not in the plan.
    """
    check_day(row.on, "on", today)
    check_moment(row.on, row.at, "at")
    if not row.plan.sets.filter(pk=row.chassis_id).exists():
        raise refuse("chassis", f"{row.chassis} is no set of this plan.")
    if row.used and row.pk is None:
        _use_up(row, by)
    if settles:
        _settle(row, by)
    write(row, by=by, reason=reason)
    if photographs is not None:
        row.photographs.set(photographs)
    return row


def _settle(row: Work, by: Any) -> None:
    """The line is done on the day of the work; one that is done already stays as it is."""
    if row.requirement is None:
        raise refuse("requirement", "Say which line is done with it, or leave the tick away.")
    line = Requirement.objects.select_for_update(of=("self",)).get(pk=row.requirement.pk)
    if line.done_on is None:
        line.done_on = row.on
        write(line, by=by, reason=f"done: {row}"[:100])


def _use_up(row: Work, by: Any) -> None:
    lot = PartLot.objects.select_for_update(of=("self",)).filter(pk=row.put_in_id).first()
    if lot is None:
        raise refuse("used", "Say from which lot they are, or leave the number empty.")
    if lot.least is None or lot.least < (row.used or 0):
        there = "is not known" if lot.least is None else f"is {lot.least}"
        raise refuse("used", f"How many {lot.tag} holds {there}; {row.used} were used. Count it first.")
    lot.least -= row.used or 0
    lot.most = None if lot.most is None else max(lot.most - (row.used or 0), lot.least)
    write(lot, by=by, reason=f"{row.used} used in {row.chassis}"[:100])
    for kept in Reservation.objects.filter(item=lot.pk, requirement=row.requirement_id, requirement__isnull=False):
        release(kept, by=by, reason="used")
