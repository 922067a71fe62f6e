"""Changes of plans, their lines, what is kept back for them, and what was done."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day, check_moment
from inventory.holdings.models import Item, PartLot, Tube
from inventory.house.writing import refuse, write
from inventory.restoration.models import Plan, Requirement, Reservation, WeakPart, Work
from inventory.restoration.queries.allotment import Allotment, allotment
from inventory.sets.models import Chassis, Position


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
    if row.is_open:
        for chassis in sets:
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


def _locked_item(key: int) -> Item:
    return Item.objects.select_for_update(of=("self",)).get(pk=key)


def _check_here(item: Item) -> None:
    if item.gone_on:
        raise refuse("tag", f"{item.tag} left the collection on {item.gone_on}.")
    if item.lent_to:
        raise refuse("tag", f"{item.tag} is lent to {item.lent_to}.")
    if item.missed_on:
        raise refuse("tag", f"{item.tag} was not found on {item.missed_on}; find it first.")


@transaction.atomic
def reserve_tube(
    plan: Plan, chassis: Chassis, position: Position, tube: Tube, *, on: date, by: Any, why: str = ""
) -> Reservation:
    """Keep a tube back for a position of a set in a plan; nobody else is offered it from then on.

    Refuses a tube that is kept back already, is in a set, is a dud, or is not here; and a position that has one.
    """
    if not plan.is_open:
        raise refuse("tag", f"{plan} is {plan.state}; nothing is kept back for it.")
    item = _locked_item(tube.pk)
    _check_here(item)
    fresh = Tube.objects.get(pk=tube.pk)
    if fresh.state == Tube.DUD:
        raise refuse("tag", f"{item.tag} is a dud.")
    if sits := fresh.fittings.filter(until__isnull=True).select_related("chassis__model", "position").first():
        raise refuse("tag", f"{item.tag} is in {sits.chassis} {sits.position.mark}.")
    if other := Reservation.objects.filter(item=item).select_related("plan").first():
        raise refuse("tag", f"{item.tag} is {other.words}.")
    if position.set_model_id != chassis.model_id or not plan.sets.filter(pk=chassis.pk).exists():
        raise refuse("tag", f"{position.mark} is no position of a set of {plan}.")
    if other := Reservation.objects.filter(chassis=chassis, position=position).select_related("item").first():
        raise refuse("tag", f"{other.item.tag} is kept back for {position.mark}; release it first.")
    row = Reservation(plan=plan, item=item, chassis=chassis, position=position, why=why[:300], on=on)
    return write(row, by=by)


@transaction.atomic
def reserve_parts(requirement: Requirement, lot: PartLot, number: int, *, on: date, by: Any) -> Reservation:
    """Keep so many of a lot back for a line of the keeper's own. Refuses more than are known to be there and free."""
    item = _locked_item(lot.pk)
    _check_here(item)
    fresh = PartLot.objects.get(pk=lot.pk)
    taken = sum(row.quantity or 0 for row in Reservation.objects.filter(item=item))
    free = (fresh.least or 0) - taken
    if number > free:
        raise refuse("number", f"{free} of {item.tag} are known to be there and free; {number} are asked for.")
    row = Reservation(plan=requirement.plan, item=item, requirement=requirement, quantity=number, on=on)
    return write(row, by=by)


@transaction.atomic
def release(row: Reservation, *, by: Any, reason: str = "released") -> None:
    """Let go of what was kept back; its history stays."""
    row._history_user = by  # type: ignore[attr-defined]
    row._change_reason = reason  # type: ignore[attr-defined]
    row.delete()


@transaction.atomic
def reserve_all(plan: Plan, *, on: date, by: Any, found: Allotment | None = None) -> list[Reservation]:
    """Keep back every good tube that the assignment gives to a plan, in one step; what is untested stays free."""
    Plan.objects.select_for_update(of=("self",)).get(pk=plan.pk)
    found = found or allotment()
    kept = []
    for number, slot in enumerate(found.slots):
        taken = int(found.taken[number])
        if slot.plan.pk != plan.pk or taken < 0 or found.stock.untested[taken] or taken in found.stock.sits:
            continue
        tube = found.stock.tubes[taken]
        why = f"Chosen among all open plans on {on}."
        kept.append(reserve_tube(plan, slot.chassis, slot.position, tube, on=on, by=by, why=why))
    return kept


@transaction.atomic
def release_all(plan: Plan, *, by: Any) -> int:
    """Let go of everything that is kept back for a plan; how many things that were."""
    rows = list(plan.reservations.all())
    for row in rows:
        release(row, by=by)
    return len(rows)


@transaction.atomic
def record_work(row: Work, *, today: date, by: Any, reason: str = "") -> Work:
    """Write something done to a set; a lot from which parts were used is so many smaller.

    Refuses more than the lot is known to hold, and a set that is not in the plan.
    """
    check_day(row.on, "on", today)
    check_moment(row.on, row.at, "at")
    if not row.plan.sets.filter(pk=row.chassis_id).exists():
        raise refuse("chassis", f"{row.chassis} is no set of this plan.")
    if row.used and row.pk is None:
        _use_up(row, by)
    return write(row, by=by, reason=reason)


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
