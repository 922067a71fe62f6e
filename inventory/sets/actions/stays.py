"""Tubes in and out of positions, units in and out of bays.

A stay that is changed is locked first, then the things concerned in one order (``holdings.actions.locking``); what is
checked is what stands there then. So nothing is lent or sold at the moment when it is put into a set.
"""

from datetime import date, time
from typing import Any, TypeVar

from django.db import transaction
from django.db.models import QuerySet

from inventory.holdings.actions import check_day, check_moment, hold_things, leave_place, move, turned_up
from inventory.holdings.models import Place
from inventory.house.concerns import claims_elsewhere, put_in
from inventory.house.writing import refuse, write
from inventory.sets.actions.moves_filed import moves_follow
from inventory.sets.actions.spans import (
    check_free,
    check_no_stand_in,
    check_present,
    check_put_in,
    check_when,
    is_within,
)
from inventory.sets.models import Bay, Chassis, Fitting, PlugInUnit, Seating, Stay
from inventory.sets.queries import overlapping, type_difference
from inventory.sets.queries.doubts import against_fitting
from inventory.sets.queries.mercury import mercury_against
from inventory.sets.queries.there import NOTHING, other_there

OneStay = TypeVar("OneStay", bound=Stay)


@transaction.atomic
def fit(
    row: Fitting, *, today: date, by: Any, replace: bool = False, old_tube_to: Place | None = None,
    other_type: bool = False, in_doubt: bool = False, claimed: bool = False, mercury_why: str = "", seen: str = "",
) -> Fitting:  # fmt: skip
    """Put a tube into a position, as an unsaved fitting says: from a day, also long ago, until another or now.

    With ``replace`` the tube that is in the position comes out at that moment and goes to ``old_tube_to``. A tube
    that is not the type wanted, nor a ruggedized form of it, is fitted only with ``other_type``; one that its last
    tests (reject, shorted, gas) or its state on record (weak, dud) speak against goes in to stay only with
    ``in_doubt``, one that is reserved for something else only with ``claimed``, and the history keeps both; a mercury
    rectifier goes into a set that lies on its side, or switches plate and filament together, only with ``mercury_why``,
    the reason, which stays in the history and, where there is no other note, beside the fitting.
    ``seen``: the tag of the tube that was seen in the position, see ``other_there``; nothing is thrown out that
    nobody saw. Raises ValidationError when the tube or the position is taken in that span, or the position is none of
    this set's.
    """
    check_when(row, today)
    there = _for_change(_holding(row)).first()
    hold_things(row.tube, row.chassis, *([there.tube] if there else []))
    _check_fit(row, other_type)
    check_no_stand_in(row)
    reasons = [_doubt_reason(row, in_doubt), _claim_reason(row, claimed), _mercury_reason(row, mercury_why.strip())]
    current = _in_the_position(row)
    _check_seen("position", row.position.mark, current.tube.tag if current else NOTHING, seen)
    if row.until is None and current:
        if not replace:
            held = f"{row.position.mark} holds {current.tube.tag} since {current.since}; take it out first."
            raise refuse("position", held)
        if there is None or there.pk != current.pk:  # put in while this waited
            raise refuse("position", other_there(row.position.mark, current.tube.tag, NOTHING))
        take_out(current, until=row.since, until_at=row.since_at, today=today, by=by, place=old_tube_to)
    (check_put_in if row.until is None else check_free)(row)
    write(row, by=by, reason="; ".join(filter(None, reasons)))
    if row.until is None:
        leave_place(row.tube.item, f"in {row.chassis} {row.position.mark}", on=row.since, by=by)
        turned_up([row.chassis.item], on=row.since, by=by, reason="a tube put in")
        put_in(row, by)
    return row


def _check_fit(row: Fitting, other_type: bool) -> None:
    """Refuse things that are not here, a position or a type that is another. They are locked."""
    check_present(row, row.tube.item, row.chassis.item)
    row.tube.refresh_from_db(fields=["type", "state"])
    row.chassis.refresh_from_db(fields=["model"])
    if row.position.set_model_id != row.chassis.model_id:
        raise refuse("position", f"{row.position.mark} is no position of a {row.chassis.model}.")
    if not other_type and (difference := type_difference(row.tube, row.position)):
        raise refuse("other_type", f"{difference} Tick this box if it is fitted on purpose.")


def _doubt_reason(row: Fitting, on_purpose: bool) -> str:
    """What speaks against a tube that is fitted on purpose, to stay; refuses one that is not on purpose."""
    against = against_fitting(row.tube) if row.until is None else ""
    if not against:
        return ""
    if not on_purpose:
        raise refuse(
            "in_doubt", f"{row.tube.tag}: {against}. Test it again, or tick this box if it is fitted on purpose."
        )
    return f"fitted on purpose, {against}"


def _claim_reason(row: Fitting, on_purpose: bool) -> str:
    """What a tube is reserved for that is fitted elsewhere on purpose, to stay; refuses one that is not on purpose."""
    others = claims_elsewhere(row.tube.item, row.chassis, row.position) if row.until is None else []
    if not others:
        return ""
    if not on_purpose:
        raise refuse(
            "claimed",
            f"{row.tube.tag} is {'; '.join(others)}. Take another, or tick this box if it is fitted on purpose.",
        )
    return f"fitted all the same, {'; '.join(others)}"


def _mercury_reason(row: Fitting, why: str) -> str:
    """Why a mercury rectifier goes in where something stands against it; refuses where no reason is given."""
    against = mercury_against(row.position, row.tube.type)
    if not against:
        return ""
    if not why:
        raise refuse(
            "mercury_why", f"{row.tube.tag} holds mercury vapour. {against} Say why it is fitted all the same."
        )
    row.note = row.note or f"all the same: {why}"[:200]
    return f"mercury rectifier all the same: {why}"


def _check_seen(field: str, mark: str, now: str, seen: str) -> None:
    """Refuse a position or a bay that holds another thing than was seen."""
    if told := other_there(mark, now, seen):
        raise refuse(field, told)


def _for_change(rows: QuerySet[OneStay]) -> QuerySet[OneStay]:
    """The same stays, locked for the rest of the transaction when they are read."""
    return rows.select_for_update(of=("self",), no_key=True).order_by("pk")


def _held(stay: OneStay) -> OneStay:
    """A stay as it stands in the database now, locked with its things; what was read earlier may be stale.

    Raises ValidationError where it is not there any more.
    """
    thing = "tube" if isinstance(stay, Fitting) else "unit"
    rows: QuerySet[Any] = type(stay)._default_manager.filter(pk=stay.pk)
    for now in _for_change(rows.select_related(f"{thing}__item", "chassis__item", "chassis__model")):
        hold_things(getattr(now, thing), now.chassis)
        found: OneStay = now
        return found
    raise refuse("__all__", "This record is not there any more; look again.")


def _holding(row: Fitting) -> QuerySet[Fitting]:
    """What holds the position now."""
    rows = Fitting.objects.filter(chassis_id=row.chassis_id, position_id=row.position_id, until__isnull=True)
    return rows.select_related("tube__item")


def _in_the_position(row: Fitting) -> Fitting | None:
    """What holds the position now; refuses the very tube that is to stay there."""
    current = _holding(row).first()
    if row.until is None and current and current.tube_id == row.tube_id:
        raise refuse("tube", f"{row.tube.tag} is in {row.position.mark} already, since {current.since}.")
    return current


def _end(stay: Stay, until: date, until_at: time | None, today: date) -> None:
    check_day(until, "until", today)
    check_moment(until, until_at, "until_at")
    if stay.until is not None:
        raise refuse("until", f"This ended on {stay.until} already.")
    stay.until, stay.until_at = until, until_at
    stay.clean()


@transaction.atomic
def take_out(
    fitting: Fitting, *, until: date, today: date, by: Any, until_at: time | None = None, place: Place | None = None
) -> Fitting:
    """Take a tube out of its position and lay it in ``place`` (None: it is then without a place)."""
    now = _held(fitting)
    _end(now, until, until_at, today)
    write(now, by=by)
    out = f"out of {now.chassis} {now.position.mark}"
    move([now.tube.item], place, on=until, by=by, reason=out, apart=out)
    fitting.until, fitting.until_at = now.until, now.until_at
    return fitting


@transaction.atomic
def correct_stay(stay: Fitting | Seating, *, today: date, by: Any, reason: str = "") -> str:
    """Write corrected dates of a fitting or a seating; its history keeps what it said. Whether it is over stays.

    The moves that were filed with it follow, see ``moves_follow``; returns what became of them, in words.
    """
    before = _held(stay)
    check_when(stay, today)
    if (before.until is None) != (stay.until is None):
        raise refuse("until", "Take it out, or fit it again; a correction only mends dates.")
    check_free(stay)
    if isinstance(stay, Fitting) and not is_within(stay, before):
        check_no_stand_in(stay)
    write(stay, by=by, reason=reason)
    return moves_follow(before, stay, by=by, reason=reason)


@transaction.atomic
def seat(
    unit: PlugInUnit, chassis: Chassis, bay: Bay, *, since: date, today: date, by: Any, since_at: time | None = None,
    until: date | None = None, seen: str = "",
) -> Seating:  # fmt: skip
    """Put a plug-in unit into a bay: from a day, also long ago, until another or now.

    Raises ValidationError when it does not fit or either is taken. ``seen``: the tag of the unit that was seen in the
    bay, see ``other_there``.
    """
    row = Seating(unit=unit, chassis=chassis, bay=bay, since=since, since_at=since_at, until=until)
    check_when(row, today)
    hold_things(unit, chassis)
    check_present(row, unit.item, chassis.item)
    unit.refresh_from_db(fields=["model"])
    chassis.refresh_from_db(fields=["model"])
    if bay.set_model_id != chassis.model_id:
        raise refuse("bay", f"{bay.mark} is no bay of a {chassis.model}.")
    if not unit.model.fits.filter(pk=chassis.model_id).exists():
        raise refuse("unit", f"A {unit.model} does not go into a {chassis.model}.")
    current = Seating.objects.filter(chassis=chassis, bay=bay, until__isnull=True).select_related("unit__item").first()
    _check_seen("bay", f"Bay {bay.mark}", current.unit.tag if current else NOTHING, seen)
    if until is not None:
        check_free(row)
        return write(row, by=by)
    if overlapping(Seating.objects.filter(unit=unit), row):
        raise refuse("unit", f"{unit.tag} sits in a bay in that time; take it out there first.")
    if overlapping(Seating.objects.filter(chassis=chassis, bay=bay), row):
        raise refuse("bay", f"{bay.mark} is taken in that time; take that unit out first.")
    write(row, by=by)
    leave_place(unit.item, f"in {chassis}, bay {bay.mark}", on=since, by=by)
    turned_up([chassis.item], on=since, by=by, reason="a unit put in")
    return row


@transaction.atomic
def unseat(
    seating: Seating, *, until: date, today: date, by: Any, place: Place | None = None, why: str = ""
) -> Seating:
    """Take a plug-in unit out of its bay and lay it in ``place``. ``why``: why it parts from a set it is tied to."""
    now = _held(seating)
    _end(now, until, None, today)
    write(now, by=by)
    reason = f"out of {now.chassis}, bay {now.bay.mark}" + (f": {why}" if why else "")
    move([now.unit.item], place, on=until, by=by, reason=reason[:200], apart=reason)
    seating.until, seating.until_at = now.until, now.until_at
    return seating
