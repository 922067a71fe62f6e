"""Changes of plans and of their lines."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import IntegrityError, transaction

from inventory.holdings.actions import check_day
from inventory.holdings.actions.locking import locked_all
from inventory.house.records.actions import strike_out
from inventory.house.writing import refuse, write
from inventory.restoration.actions.reserving import fit_to_line, hold_plan, release, release_line
from inventory.restoration.models import Plan, Requirement, WeakPart, WeakSaid
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.left_open import dangerous, left_open
from inventory.restoration.queries.progress import first_recorded
from inventory.sets.models import Chassis


@transaction.atomic
def save_plan(
    row: Plan, sets: Sequence[Chassis], *, today: date, by: Any, reason: str = "", as_it_is: bool = False
) -> Plan:
    """Write a plan and its sets. To restore takes one set, which is in no other open plan; to keep running any number.

    A plan that is finished or laid aside gives back what was kept for it; so does a set that leaves a plan, for its
    positions and for lines that name it. The day on which it becomes finished, or work begins, is today where it is not
    said (of a plan that has records, the day of the first); one that was finished before says when, an open one never.
    As it becomes finished, what is open then is written down; where that has to be settled before power, only with
    ``as_it_is``.
    """
    for name in ("began", "ended"):
        if day := getattr(row, name):
            check_day(day, name, today)
    if not sets:
        raise refuse("sets", "Name at least one set.")
    if row.aim == Plan.RESTORE and len(sets) != 1:
        raise refuse("sets", f"{len(sets)} sets are named; a restoration is of one. Make a plan for each.")
    was = hold_plan(row)
    _fill_in_days(row, was, today)
    _write_left_open(row, was, today, as_it_is)
    now = {item.pk: item for item in locked_all([chassis.item for chassis in sets])}  # of two plans the later is told
    if row.is_open:
        for chassis in sets:
            chassis.item = now.get(chassis.pk, chassis.item)
            other = chassis.plans.filter(state__in=Plan.OPEN).exclude(pk=row.pk).first()
            if other is not None:
                raise refuse("sets", f"{chassis} is in the open plan {other} already.")
            if chassis.item.gone_on:
                raise refuse("sets", f"{chassis} left the collection on {chassis.item.gone_on}.")
    _write_named(row, by, reason)
    row.sets.set(sets)
    mine = {one.pk for one in sets}
    for kept in row.reservations.select_related("requirement"):
        of_set = kept.chassis_id or (kept.requirement.chassis_id if kept.requirement else None)
        if not row.is_open:
            release(kept, by=by, reason=f"the plan is {row.state}")
        elif of_set is not None and of_set not in mine:
            release(kept, by=by, reason="the set left the plan")
    return row


def _write_left_open(row: Plan, was: Plan | None, today: date, as_it_is: bool) -> None:
    """What is open as a plan becomes finished; of an open one nothing. Refuses what can hurt and nobody asked for."""
    if row.is_open:
        row.left_open = ""
    elif row.is_finished and was is not None and not was.is_finished:
        cover = cover_of(was, today)
        row.left_open = left_open(cover)
        if (named := dangerous(cover)) and not as_it_is:
            raise refuse(
                "as_it_is",
                f"Not settled before power yet: {'; '.join(named)}. Settle it, or tick that it is finished as it is; "
                "the report says so.",
            )


def _write_named(row: Plan, by: Any, reason: str) -> None:
    """Write a plan; of two people who give one name at one moment the later is told."""
    try:
        with transaction.atomic():
            write(row, by=by, reason=reason)
    except IntegrityError:
        if not Plan.objects.filter(name=row.name).exclude(pk=row.pk).exists():
            raise
        raise refuse(
            "name", f"There is a plan {row.name} already, made just now: open that, or choose another name."
        ) from None


def _fill_in_days(row: Plan, was: Plan | None, today: date) -> None:
    """The days that follow from a change of state now; ``was``: the plan as it stood. Refuses what contradicts it."""
    turned = was is not None and was.state != row.state
    if row.began is None and row.state in (Plan.AT_WORK, Plan.FINISHED):
        first = first_recorded(row) if row.pk else None
        row.began = first or (today if turned and row.state == Plan.AT_WORK else None)
    if row.is_open and row.ended:
        raise refuse("ended", f"It is {row.state}: leave this day empty, or say that it is finished.")
    if row.state == Plan.FINISHED and row.ended is None:
        if not turned:
            raise refuse("ended", "Say on which day it was finished.")
        row.ended = today
    if row.began and row.ended and row.ended < row.began:
        raise refuse("ended", f"{row.ended} is before {row.began}, when it began.")


@transaction.atomic
def save_requirement(row: Requirement, *, today: date, by: Any, reason: str = "") -> Requirement:
    """Write a line of the keeper's own. A chassis it names is one of the plan's. Done, it gives back what was kept;
    asking for another kind of part, or for fewer, it gives back what does not serve it any more.
    """
    for name in ("here_on", "done_on"):
        if day := getattr(row, name):
            check_day(day, name, today)
    if row.here_on and not row.needs_word:
        raise refuse("here_on", "Only of a tool, a book, or a part without a kind: the rest is counted from the stock.")
    if row.chassis_id and not row.plan.sets.filter(pk=row.chassis_id).exists():
        raise refuse("chassis", f"{row.chassis} is no set of this plan.")
    if row.type_id and row.kind != Requirement.PART:
        raise refuse("type", "Only a part has a kind of part; leave it empty, or say that the line is a part.")
    hold_plan(row.plan)
    write(row, by=by, reason=reason)
    if row.done_on:
        release_line(row, by=by, reason="the line is done")
    else:
        fit_to_line(row, by=by)
    return row


@transaction.atomic
def strike_requirement(row: Requirement, why: str, *, by: Any) -> Requirement:
    """Strike a line out; what was reserved for it is released."""
    hold_plan(row.plan)
    strike_out(row, why, by=by)
    release_line(row, by=by, reason="the line was struck out")
    return row


@transaction.atomic
def save_weak_part(row: WeakPart, *, by: Any, reason: str = "") -> WeakPart:
    """Write a part that is known to be weak in a set model."""
    return write(row, by=by, reason=reason)


@transaction.atomic
def add_weak_part(row: WeakPart, word: WeakSaid | None, *, today: date, by: Any) -> WeakPart:
    """Write a part that is known to be weak with the first word on it, whose source stands with that word then."""
    if word is None:
        return save_weak_part(row, by=by)
    row.source = ""
    word.weak = save_weak_part(row, by=by)
    save_weak_said(word, today=today, by=by)
    return row


@transaction.atomic
def save_weak_said(row: WeakSaid, *, today: date, by: Any, reason: str = "") -> WeakSaid:
    """Write somebody's word on a weak part; it stands beside those that say otherwise."""
    if row.on:
        check_day(row.on, "on", today)
    return write(row, by=by, reason=reason)
