"""Work that was done to the sets of plans, and what it takes out of part lots.

Locked in this order: the work, its plan, its line, the things, their lots, what is reserved of them.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day, check_moment
from inventory.holdings.actions.locking import locked_all
from inventory.holdings.models import Item, Paper, PartLot
from inventory.house.records.actions import strike_out
from inventory.house.writing import refuse, write
from inventory.restoration.actions.reserving import check_here, fit_to_line, hold_plan, lessen, release_line, take_up
from inventory.restoration.models import Requirement, Reservation, WeakPart, Work
from inventory.sets.models import Fitting, Seating


@transaction.atomic
def record_work(
    row: Work, *, today: date, by: Any, reason: str = "", photographs: Sequence[Paper] | None = None,
    settles: bool = False, weak: WeakPart | None = None, claimed: bool = False,
) -> Work:  # fmt: skip
    """Write something done to a set, or its correction; a lot from which parts were used is so many smaller.

    ``photographs``: of it (None: left as they are); ``weak``: a known weak part of the set that it was done to, which
    becomes a line of the plan by it; ``settles``: the line that it names is done with it; ``claimed``: what is
    reserved for something else was taken on purpose. A correction books the difference to what it said before.
    Refuses more than the lot is known to hold and, without ``claimed``, more than is free; a lot that is not here;
    and a set that is not in the plan.
    """
    check_day(row.on, "on", today)
    check_moment(row.on, row.at, "at")
    if not row.plan.sets.filter(pk=row.chassis_id).exists():
        raise refuse("chassis", f"{row.chassis} is no set of this plan.")
    was = Work.objects.select_for_update(of=("self",), no_key=True).filter(pk=row.pk).first()
    hold_plan(row.plan)
    if weak is not None:
        row.requirement = _line_of(row, weak, by)
    if settles:
        _settle(row, by)
    said = row.put_in_id, row.on, row.chassis_id
    if row.put_in and (was is None or (was.put_in_id, was.on, was.chassis_id) != said):
        _check_there(row, Item.objects.get(pk=row.put_in.pk))
    _book(row, was, by, claimed)
    if settles and row.requirement:
        release_line(row.requirement, by=by, reason="the line is done")
    write(row, by=by, reason=reason)
    if row.requirement and row.requirement.type_id:
        fit_to_line(row.requirement, by=by)  # what was put in is asked for no more
    if photographs is not None:
        row.photographs.set(photographs)
    return row


@transaction.atomic
def strike_work(row: Work, why: str, *, by: Any) -> Work:
    """Strike a work out; what it took out of a lot is given back to it. A line that it settled stays done."""
    strike_out(row, why, by=by)
    hold_plan(row.plan)
    was = Work.objects.get(pk=row.pk)
    if was.used and (lot := _lots(was.put_in_id).get(was.put_in_id or 0)):
        _give_back(lot, was.used, f"given back, struck out: {was}", by)
    return row


def _line_of(row: Work, weak: WeakPart, by: Any) -> Requirement:
    """The line of the plan that a known weak part of the set is, or becomes. The plan is locked."""
    if row.requirement is not None:
        raise refuse("weak_part", "Name a line of the plan or a known weak part, not both.")
    if weak.set_model_id != row.chassis.model_id:
        raise refuse("weak_part", f"{weak} is a part of {weak.set_model}, and {row.chassis} is none.")
    there = Requirement.objects.filter(plan=row.plan, chassis=row.chassis, weak=weak, struck="").first()
    return there or take_up(row.plan, row.chassis, weak, by=by, reason="taken up for work on it")


def _check_there(row: Work, item: Item) -> None:
    """Refuse that a thing was put in which was not here on that day, or was in another set then as it is now."""
    if item.gone_on and item.gone_on < row.on:
        raise refuse("put_in", f"{item.tag} left the collection on {item.gone_on}.")
    if item.lent_to and item.lent_on and item.lent_on < row.on:
        raise refuse("put_in", f"{item.tag} is lent to {item.lent_to} since {item.lent_on}.")
    now = {"until__isnull": True, "since__lt": row.on}
    for rows in (Fitting.objects.filter(tube=item.pk, **now), Seating.objects.filter(unit=item.pk, **now)):
        other = rows.exclude(chassis=row.chassis_id).select_related("chassis__model").first()
        if other is not None:
            raise refuse("put_in", f"{item.tag} is in {other.chassis} since {other.since}; take it out there first.")


def _settle(row: Work, by: Any) -> None:
    """The line is done on the day of the work; one that is done already stays as it is."""
    if row.requirement is None:
        raise refuse("requirement", "Say which line is done with it, or leave the tick away.")
    line = Requirement.objects.select_for_update(of=("self",), no_key=True).get(pk=row.requirement.pk)
    if line.done_on is None:
        line.done_on = row.on
        write(line, by=by, reason=f"done: {row}"[:100])


def _lots(*keys: int | None) -> dict[int, PartLot]:
    """Part lots by key as they stand now, locked after the things that they are; what is no lot is left out."""
    named = [key for key in keys if key]
    locked_all(Item.objects.filter(pk__in=named))
    rows = PartLot.objects.select_for_update(of=("self",)).filter(pk__in=named).select_related("item")
    return {lot.pk: lot for lot in rows.order_by("pk")}


def _book(row: Work, was: Work | None, by: Any, claimed: bool) -> None:
    """Take what was used out of its lot; of a correction the difference, also where it names another lot now."""
    old = (was.put_in_id, was.used or 0) if was and was.used else (None, 0)
    new = row.put_in_id, row.used or 0
    if old == new or not (old[1] or new[1]):
        return
    lots = _lots(old[0], new[0])
    if new[1] and new[0] not in lots:
        raise refuse("used", "Say from which lot they are, or leave the number empty.")
    more: dict[int, int] = {}
    for key, number in ((old[0], -old[1]), (new[0], new[1])):
        if key in lots:
            more[key] = more.get(key, 0) + number
    for key, number in more.items():
        if number < 0:
            _give_back(lots[key], -number, f"given back, corrected: {row}", by)
        elif number:
            _use_up(row, lots[key], number, by, claimed)


def _give_back(lot: PartLot, number: int, reason: str, by: Any) -> None:
    """So many more in a lot; where nobody knows how many it holds, that stays so."""
    if lot.least is not None:
        lot.least += number
    if lot.most is not None:
        lot.most += number
    write(lot, by=by, reason=f"{number} {reason}"[:100])


def _use_up(row: Work, lot: PartLot, number: int, by: Any, claimed: bool) -> None:
    """So many fewer in a lot, and of it reserved for the line of the work."""
    check_here(lot.item, "put_in")
    if lot.least is None or lot.least < number:
        there = "is not known" if lot.least is None else f"is {lot.least}"
        raise refuse("used", f"How many {lot.tag} holds {there}; {number} were used. Count it first.")
    rows = list(
        Reservation.objects.select_for_update(of=("self",)).filter(item=lot.pk).order_by("pk")
        .select_related("plan", "requirement", "chassis__model", "chassis__item", "position")
    )  # fmt: skip
    own = [one for one in rows if one.requirement_id and one.requirement_id == row.requirement_id]
    others = [one for one in rows if one not in own]
    free = max(lot.least - sum(one.quantity or 0 for one in others), 0)
    if number > free and not claimed:
        named = "; ".join(one.words for one in others)
        raise refuse(
            "used",
            f"{free} of {lot.tag} are free for it ({named}), and {number} were used. Name the line that they were "
            "used for, release them first, or tick that they were taken on purpose.",
        )
    lot.least -= number
    lot.most = None if lot.most is None else max(lot.most - number, lot.least)
    write(lot, by=by, reason=f"{number} used in {row.chassis}"[:100])
    lessen(own, number, by=by, reason="used")
    lessen(others[::-1], number - free, by=by, reason=f"used on purpose for {row.plan}")
