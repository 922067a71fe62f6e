"""What is reserved for plans: single tubes for positions, so many of a lot for lines; and released again.

The plan is locked first, then the things in the order of their keys (``holdings.actions.locking``), and what is checked
is what stands there then: of two people who want the same tube at one moment the second is told who has it.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Q, QuerySet

from inventory.holdings.actions import hold_things
from inventory.holdings.actions.locking import locked
from inventory.holdings.models import Item, PartLot, Tube
from inventory.holdings.rules.part_kinds import falls_short
from inventory.house.writing import refuse, remove, write
from inventory.restoration.models import Plan, Requirement, Reservation, WeakPart
from inventory.restoration.queries.nearness import why_not_there
from inventory.restoration.queries.put_in import put_in_for
from inventory.restoration.queries.reserved import still_kept
from inventory.running.queries import verdicts_of
from inventory.running.rules.verdicts import REJECT
from inventory.sets.models import Chassis, Position
from inventory.sets.queries import open_fittings


def check_here(item: Item, field: str = "tag") -> None:
    """Refuse, at a field, a thing that is not here."""
    if item.gone_on:
        raise refuse(field, f"{item.tag} left the collection on {item.gone_on}.")
    if item.lent_to:
        raise refuse(field, f"{item.tag} is lent to {item.lent_to}.")
    if item.missed_on:
        raise refuse(field, f"{item.tag} was not found on {item.missed_on}; find it first.")


def hold_plan(plan: Plan) -> Plan | None:
    """Lock a plan for the rest of the transaction, so that nothing is reserved for it meanwhile; how it stands."""
    return Plan.objects.select_for_update(of=("self",), no_key=True).filter(pk=plan.pk).first()


def hold_open(plan: Plan) -> Plan:
    """The plan as it stands now, locked, which nothing is reserved for unless it is open."""
    fresh = Plan.objects.select_for_update(of=("self",)).get(pk=plan.pk)
    if not fresh.is_open:
        raise refuse("tag", f"{fresh} is {fresh.state}; nothing is reserved for it.")
    return fresh


@transaction.atomic
def reserve_tube(
    plan: Plan,
    chassis: Chassis,
    position: Position,
    tube: Tube,
    *,
    on: date,
    by: Any,
    why: str = "",
    judged: bool = False,
) -> Reservation:
    """Reserve a tube for a position of a set in a plan; nobody else is offered it from then on.

    Refuses a tube that is reserved already, is in a set, is weak, a dud or rejected by its last test, may not stand
    there, or is not here; and a position that has one. What was reserved for the position and went into a set since
    was used: it stands in nobody's way. ``judged``: that it may stand there was found in this transaction, of the type
    that it is of; it is not asked again.
    """
    hold_open(plan)
    hold_things(tube)
    item = tube.item
    check_here(item)
    fresh = Tube.objects.get(pk=tube.pk)
    if fresh.state in (Tube.DUD, Tube.WEAK):
        raise refuse("tag", f"{item.tag} is {'a dud' if fresh.state == Tube.DUD else 'weak'}.")
    if verdicts_of([fresh]).get(fresh.pk) == REJECT:
        raise refuse("tag", f"{item.tag} was rejected by its last test.")
    if sits := fresh.fittings.filter(until__isnull=True).select_related("chassis__model", "position").first():
        raise refuse("tag", f"{item.tag} is in {sits.chassis} {sits.position.mark}.")
    if other := Reservation.objects.filter(item=item).select_related("plan").first():
        raise refuse("tag", f"{item.tag} is {other.words}.")
    if Item.objects.filter(pk=chassis.pk, gone_on__isnull=False).exists():
        raise refuse("tag", f"{chassis} left the collection.")
    if position.set_model_id != chassis.model_id or not plan.sets.filter(pk=chassis.pk).exists():
        raise refuse("tag", f"{position.mark} is no position of a set of {plan}.")
    asked = judged and fresh.type_id == tube.type_id
    if against := "" if asked else why_not_there(fresh, position):
        raise refuse("tag", f"{item.tag} {against}.")
    if other := Reservation.objects.filter(chassis=chassis, position=position).select_related("item").first():
        if not open_fittings().filter(tube=other.item_id).exists():
            raise refuse("tag", f"{other.item.tag} is reserved for {position.mark}; release it first.")
        _drop(other, by=by, reason="used")
    row = Reservation(plan=plan, item=item, chassis=chassis, position=position, why=why[:300], on=on)
    return write(row, by=by)


@transaction.atomic
def reserve_parts(
    requirement: Requirement, lot: PartLot, number: int, *, on: date, by: Any, why: str = ""
) -> Reservation:
    """Reserve so many of a lot for a line of the keeper's own. Refuses more than are known to be there and free, or
    than the line asks for, a lot that may not serve it, and a line that is done or struck out.

    What is reserved of that lot for the line already grows by the number.
    """
    hold_open(requirement.plan)
    asks = Requirement.objects.select_related("type").filter(pk=requirement.pk, struck="", done_on__isnull=True).first()
    if asks is None:
        raise refuse("tag", f"{requirement} is done or struck out; nothing is reserved for it.")
    item = locked(lot.item)
    check_here(item)
    fresh = PartLot.objects.select_related("type").get(pk=lot.pk)
    if unfit := _unfit(asks, fresh):
        raise refuse("tag", f"{item.tag} may not serve for {requirement}: {unfit}.")
    rows = list(_held(item=item).select_related("plan", "requirement"))
    free = max((fresh.least or 0) - sum(row.quantity or 0 for row in rows), 0)
    if number < 1 or number > free:
        others = "; ".join(row.words for row in rows)
        raise refuse(
            "number",
            f"{free} of {item.tag} are known to be there and free{f' ({others})' if others else ''}; {number} are "
            "asked for.",
        )
    has = sum(count or 0 for count in requirement.reservations.values_list("quantity", flat=True))
    there = put_in_for([asks]).get(asks.pk, 0)
    if has + number > asks.quantity - there:
        told = f", {there} are put in" if there else ""
        told += f", and {has} are reserved for it already" if has else ""
        raise refuse("number", f"{requirement} asks for {asks.quantity}{told}; {number} are too many.")
    row = next((row for row in rows if row.requirement_id == requirement.pk), None)
    if row is None:
        row = Reservation(
            plan=requirement.plan, item=item, requirement=requirement, quantity=number, why=why[:300], on=on
        )
    else:
        row.quantity = (row.quantity or 0) + number
    return write(row, by=by)


@transaction.atomic
def release(row: Reservation, *, by: Any, reason: str = "released") -> bool:
    """Release what was reserved; its history stays. False where somebody was quicker, and nothing is there any more."""
    hold_plan(row.plan)
    return _drop(row, by=by, reason=reason)


def _held(**which: Any) -> QuerySet[Reservation]:
    """Some of what is reserved, as it stands now, locked. Its plan, or the thing, is locked before."""
    return Reservation.objects.select_for_update(of=("self",)).filter(**which).order_by("pk")


def _drop(row: Reservation, *, by: Any, reason: str) -> bool:
    """Release a row whose plan or thing is locked already."""
    fresh = _held(pk=row.pk).first()
    if fresh is not None:
        remove(fresh, by=by, reason=reason)
    return fresh is not None


def used(fitting: Any, by: Any) -> None:
    """A tube that goes where it was reserved for was used: taken out again it is reserved no more. What was reserved
    for a position into which another one went is free for what else wants it.
    """
    for row in _held(chassis=fitting.chassis_id, position=fitting.position_id, quantity__isnull=True):
        _drop(row, by=by, reason="used" if row.item_id == fitting.tube_id else "another one went in")


def set_left(item: Item, by: Any) -> None:
    """What is reserved for a set that leaves the collection is free: for its positions, for lines that name it, and for
    lines of plans of which no set is left.
    """
    if item.kind != Item.CHASSIS:
        return
    staying = Plan.objects.filter(sets__item__gone_on__isnull=True)
    alone = Plan.objects.filter(sets=item.pk).exclude(pk__in=staying.values("pk"))
    of_it = Q(chassis=item.pk) | Q(requirement__chassis=item.pk) | Q(plan__in=alone.values("pk"))
    keys = list(Reservation.objects.filter(of_it).values_list("pk", flat=True))
    for row in Reservation.objects.select_for_update(of=("self",)).filter(pk__in=keys).order_by("pk"):
        remove(row, by=by, reason="the set left the collection")


def take_up(plan: Plan, chassis: Chassis, weak: WeakPart, *, by: Any, reason: str) -> Requirement:
    """A known weak part of a set becomes a line of the plan."""
    row = Requirement(
        plan=plan, chassis=chassis, kind=Requirement.PART, words=str(weak), type=weak.type, weak=weak,
        quantity=weak.quantity, before_power=True,
    )  # fmt: skip
    return write(row, by=by, reason=reason)


@transaction.atomic
def release_line(requirement: Requirement, *, by: Any, reason: str = "released") -> int:
    """Release all parts that are reserved for a line; how many lots that were."""
    hold_plan(requirement.plan)
    rows = list(_held(requirement=requirement))
    for row in rows:
        remove(row, by=by, reason=reason)
    return len(rows)


def fit_to_line(requirement: Requirement, *, by: Any) -> None:
    """Release what is reserved for a line and does not serve it as it asks now, and what is more than it asks for.

    Its plan is locked already.
    """
    rows = list(_held(requirement=requirement))
    lots = PartLot.objects.select_related("type").in_bulk([row.item_id for row in rows])
    stays = []
    for row in rows:
        if row.item_id in lots and _unfit(requirement, lots[row.item_id]):
            remove(row, by=by, reason="the line asks for another kind of part")
        else:
            stays.append(row)
    wanted = max(requirement.quantity - put_in_for([requirement]).get(requirement.pk, 0), 0)
    more = sum(row.quantity or 0 for row in stays) - wanted
    lessen(stays[::-1], more, by=by, reason="the line asks for fewer")


def _unfit(requirement: Requirement, lot: PartLot) -> str:
    """In what a lot falls short of what a line asks for by its figures, in words; empty where the line names none."""
    if requirement.type is None:
        return ""
    if lot.type is None:
        return "no kind of part is given"
    return ", ".join(falls_short(requirement.type.figures, lot.type.figures))


def lessen(rows: Sequence[Reservation], number: int, *, by: Any, reason: str) -> None:
    """Reserve so many pieces fewer, of the first rows first; a row that reserves none goes. Lock them before."""
    for row in rows:
        less = min(row.quantity or 0, max(number, 0))
        number -= less
        if less and less == row.quantity:
            _drop(row, by=by, reason=reason)
        elif less:
            row.quantity = (row.quantity or 0) - less
            write(row, by=by, reason=f"{less} {reason}")


@transaction.atomic
def release_all(plan: Plan, *, by: Any) -> int:
    """Release everything that is reserved for a plan, tubes and parts; how many things that were.

    Rows of tubes that went into a set go too, and are not counted: those were used.
    """
    hold_plan(plan)
    count = still_kept().filter(plan=plan).count()
    for row in _held(plan=plan):
        remove(row, by=by, reason="released")
    return count
