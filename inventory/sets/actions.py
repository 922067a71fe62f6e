"""Changes of sets: models, chassis and units by serial, tubes in and out, units in and out of their bays."""

from datetime import date, time
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day, check_moment, leave_place, move, register, turned_up
from inventory.holdings.models import Item, Place, Tube
from inventory.house.concerns import doubt_of
from inventory.house.writing import refuse, write
from inventory.sets.models import (
    READ,
    Approval,
    Bay,
    Chassis,
    Fitting,
    PlugInUnit,
    Position,
    Seating,
    SetModel,
    Stay,
    UnitModel,
)
from inventory.sets.queries import overlapping, type_difference
from inventory.sets.queries.mercury import mercury_against
from inventory.sets.queries.there import NOTHING, other_there

OPERATING = ("heater_v", "plate_v", "plate_w", "screen_v", "screen_w", "output_ma", "frequency_mc")


@transaction.atomic
def save_set_model(row: SetModel, *, by: Any, reason: str = "") -> SetModel:
    """Write a set model. Refuses to say that it has no neutralized position while one is marked so."""
    if row.pk and row.neutralizing == SetModel.NONE and row.positions.filter(neutralized=True).exists():
        raise refuse("neutralizing", "Positions are marked neutralized; change those first.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_position(row: Position, *, by: Any, reason: str = "") -> Position:
    """Write a position. Refuses a neutralized one in a model that says it has none, and a working value of 0."""
    if row.neutralized and row.set_model.neutralizing == SetModel.NONE:
        raise refuse(
            "neutralized", "The model says it has no neutralized position; say first where its capacitor sits."
        )
    for name in OPERATING:
        if getattr(row, name) == 0:
            raise refuse(name, "0 is no working value; leave it empty where it is not known.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_approval(row: Approval, *, today: date, by: Any) -> Approval:
    """Write that a type is approved or refused in a position. Refuses the very type that the position wants."""
    check_day(row.on, "on", today)
    if row.position.type_id == row.type_id:
        raise refuse("type", f"{row.position.mark} wants a {row.type}; its own type needs no approval.")
    return write(row, by=by)


@transaction.atomic
def drop_approval(row: Approval, *, by: Any) -> None:
    """Take an approval or a refusal back; its history stays."""
    row._history_user = by  # type: ignore[attr-defined]
    row.delete()


@transaction.atomic
def save_bay(row: Bay, *, by: Any) -> Bay:
    """Write a bay."""
    return write(row, by=by)


@transaction.atomic
def save_unit_model(row: UnitModel, fits: list[SetModel] | None = None, *, by: Any, reason: str = "") -> UnitModel:
    """Write a model of plug-in unit and the set models that take it."""
    write(row, by=by, reason=reason)
    if fits is not None:
        row.fits.set(fits)
    return row


def tidy_serial(row: Chassis | PlugInUnit | Any) -> None:
    """Serials are kept digit for digit; a plate that was read needs one, one that was not has none."""
    row.serial = row.serial.strip()
    if row.serial_reading == READ and not row.serial:
        raise refuse("serial", "Give the serial as on the plate, or say that the plate is missing or cannot be read.")
    if row.serial_reading != READ and row.serial:
        raise refuse("serial_reading", "A serial is given, so the plate was read; correct one of the two.")


def _ask_about_twin(row: Any, twin_confirmed: bool) -> None:
    if not row.serial or twin_confirmed:
        return
    twins = type(row)._default_manager.filter(model=row.model, serial=row.serial).exclude(pk=row.pk)
    twin = twins.select_related("item").first()
    if twin:
        raise refuse("serial", f"{twin.tag} is a {row.model} with serial {row.serial} too; confirm that there are two.")


@transaction.atomic
def add_serialled(
    row: Any, *, by: Any, on: date, place: Place | None = None, tag: str = "", twin_confirmed: bool = False
) -> Any:
    """Add a chassis or plug-in unit to the register. Equal serials on one model are a question, not an error."""
    tidy_serial(row)
    _ask_about_twin(row, twin_confirmed)
    kind = Item.CHASSIS if isinstance(row, Chassis) else Item.UNIT
    row.item = register(kind, by=by, on=on, place=place, tag=tag)
    return write(row, by=by)


@transaction.atomic
def change_serialled(row: Any, *, by: Any, reason: str = "", twin_confirmed: bool = False) -> Any:
    """Write a changed chassis or plug-in unit. A fitted chassis keeps its model."""
    tidy_serial(row)
    _ask_about_twin(row, twin_confirmed)
    before = type(row)._default_manager.get(pk=row.pk)
    if before.model_id != row.model_id:
        if isinstance(row, Chassis) and (row.fittings.exists() or row.seatings.exists()):
            raise refuse("model", "Tubes or units were in positions of the former model; the model stays.")
        if isinstance(row, PlugInUnit) and (row.seatings.exists() or row.neutralizations.exists()):
            raise refuse("model", "It sat in bays or was neutralized as the former model; the model stays.")
    return write(row, by=by, reason=reason)


def _check_present(*items: Item) -> None:
    for item in items:
        if item.gone_on:
            raise refuse("since", f"{item.tag} left the collection on {item.gone_on}.")
        if item.lent_to:
            raise refuse("since", f"{item.tag} is lent to {item.lent_to} since {item.lent_on}; take it back first.")


@transaction.atomic
def fit(
    row: Fitting, *, today: date, by: Any, replace: bool = False, old_tube_to: Place | None = None,
    other_type: bool = False, in_doubt: bool = False, mercury_why: str = "", seen: str = "",
) -> Fitting:  # fmt: skip
    """Put a tube into a position, as an unsaved fitting says: from a day, also long ago, until another or now.

    With ``replace`` the tube that is in the position comes out at that moment and goes to ``old_tube_to``. A tube
    that is not the type wanted, nor a ruggedized form of it, is fitted only with ``other_type``; one that its last
    tests speak against (reject, shorted, gas) goes in to stay only with ``in_doubt``, which the history keeps; a
    mercury rectifier goes into a set that lies on its side, or switches plate and filament together, only with
    ``mercury_why``, the reason, which stays in the history and, where there is no other note, beside the fitting.
    ``seen``: the tag of the tube that was seen in the position, see ``other_there``; nothing is thrown out that
    nobody saw. Raises ValidationError when the tube or the position is taken in that span, or the position is none of
    this set's.
    """
    _check_fit(row, today, other_type)
    reasons = [_doubt_reason(row, in_doubt), _mercury_reason(row, mercury_why.strip())]
    Chassis.objects.select_for_update(of=("self",)).get(pk=row.chassis_id)
    Tube.objects.select_for_update(of=("self",)).get(pk=row.tube_id)
    current = _in_the_position(row)
    _check_seen("position", row.position.mark, current.tube.tag if current else NOTHING, seen)
    if row.until is None and current:
        if not replace:
            held = f"{row.position.mark} holds {current.tube.tag} since {current.since}; take it out first."
            raise refuse("position", held)
        take_out(current, until=row.since, until_at=row.since_at, today=today, by=by, place=old_tube_to)
    _check_span(row)
    write(row, by=by, reason="; ".join(filter(None, reasons)))
    if row.until is None:
        leave_place(row.tube.item, f"in {row.chassis} {row.position.mark}", on=row.since, by=by)
        turned_up([row.chassis.item], on=row.since, by=by, reason="a tube put in")
    return row


def _check_fit(row: Fitting, today: date, other_type: bool) -> None:
    """Refuse what no lock is needed for: the days, things that are not here, a position or type that is another."""
    _check_when(row, today)
    _check_present(row.tube.item, row.chassis.item)
    if row.position.set_model_id != row.chassis.model_id:
        raise refuse("position", f"{row.position.mark} is no position of a {row.chassis.model}.")
    if not other_type and (difference := type_difference(row.tube, row.position)):
        raise refuse("other_type", f"{difference} Tick this box if it is fitted on purpose.")


def _doubt_reason(row: Fitting, on_purpose: bool) -> str:
    """What the last tests say against a tube that is fitted on purpose, to stay; refuses one that is not on purpose."""
    doubt = doubt_of(row.tube.item) if row.until is None else None
    if doubt is None:
        return ""
    if not on_purpose:
        raise refuse(
            "in_doubt", f"{row.tube.tag}: {doubt.text}. Test it again, or tick this box if it is fitted on purpose."
        )
    return f"fitted on purpose, {doubt.text}"


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


def _check_when(stay: Stay, today: date) -> None:
    """Refuse a stay that begins or ends on a day, or at a time of today, that has not come yet."""
    check_day(stay.since, "since", today)
    check_moment(stay.since, stay.since_at, "since_at")
    if stay.until is not None:
        check_day(stay.until, "until", today)
        check_moment(stay.until, stay.until_at, "until_at")


def _check_seen(field: str, mark: str, now: str, seen: str) -> None:
    """Refuse a position or a bay that holds another thing than was seen."""
    if told := other_there(mark, now, seen):
        raise refuse(field, told)


def _in_the_position(row: Fitting) -> Fitting | None:
    """What holds the position now; refuses the very tube that is to stay there."""
    there = Fitting.objects.filter(chassis=row.chassis, position=row.position, until__isnull=True)
    current = there.select_related("tube__item").first()
    if row.until is None and current and current.tube_id == row.tube_id:
        raise refuse("tube", f"{row.tube.tag} is in {row.position.mark} already, since {current.since}.")
    return current


def _check_span(row: Fitting) -> None:
    """Refuse a tube that was elsewhere, or a position that held another, in that time."""
    elsewhere = Fitting.objects.filter(tube=row.tube).select_related("chassis__model", "chassis__item", "position")
    if overlapping(elsewhere, row.since, row.until):
        at = elsewhere.order_by("-since").first()
        where = f" ({at.chassis} {at.position.mark})" if at else ""
        raise refuse("tube", f"{row.tube.tag} was fitted elsewhere{where} in that time; take it out there first.")
    if overlapping(Fitting.objects.filter(chassis=row.chassis, position=row.position), row.since, row.until):
        raise refuse("since", f"{row.position.mark} held another tube in that time; look at its fittings.")


def _end(stay: Stay, until: date, until_at: time | None, today: date) -> None:
    check_day(until, "until", today)
    check_moment(until, until_at, "until_at")
    if stay.until is not None:
        raise refuse("until", f"This ended on {stay.until} already.")
    if until < stay.since:
        raise refuse("until", f"{until} is before {stay.since}, when it began.")
    if until == stay.since and until_at and stay.since_at and until_at < stay.since_at:
        raise refuse("until_at", f"{until_at:%H:%M} is before {stay.since_at:%H:%M}, when it began.")
    stay.until, stay.until_at = until, until_at


@transaction.atomic
def take_out(
    fitting: Fitting, *, until: date, today: date, by: Any, until_at: time | None = None, place: Place | None = None
) -> Fitting:
    """Take a tube out of its position and lay it in ``place`` (None: it is then without a place)."""
    _end(fitting, until, until_at, today)
    write(fitting, by=by)
    out = f"out of {fitting.chassis} {fitting.position.mark}"
    move([fitting.tube.item], place, on=until, by=by, reason=out, apart=out)
    return fitting


@transaction.atomic
def correct_stay(stay: Fitting | Seating, *, today: date, by: Any, reason: str = "") -> Fitting | Seating:
    """Write corrected dates of a fitting or a seating; its history keeps what it said. Whether it is over stays."""
    before = type(stay)._default_manager.get(pk=stay.pk)
    _check_when(stay, today)
    if (before.until is None) != (stay.until is None):
        raise refuse("until", "Take it out, or fit it again; a correction only mends dates.")
    if stay.until is not None and stay.until < stay.since:
        raise refuse("until", f"{stay.until} is before {stay.since}, when it began.")
    if isinstance(stay, Fitting):
        others = Fitting.objects.exclude(pk=stay.pk)
        clashes = (others.filter(tube=stay.tube), others.filter(chassis=stay.chassis, position=stay.position))
        if any(overlapping(rows, stay.since, stay.until) for rows in clashes):
            raise refuse("since", "The tube or the position is taken in that time by another fitting.")
    else:
        units = Seating.objects.exclude(pk=stay.pk)
        places = (units.filter(unit=stay.unit), units.filter(chassis=stay.chassis, bay=stay.bay))
        if any(overlapping(rows, stay.since, stay.until) for rows in places):
            raise refuse("since", "The unit or the bay is taken in that time.")
    return write(stay, by=by, reason=reason)


@transaction.atomic
def seat(
    unit: PlugInUnit, chassis: Chassis, bay: Bay, *, since: date, today: date, by: Any, since_at: time | None = None,
    seen: str = "",
) -> Seating:  # fmt: skip
    """Put a plug-in unit into a bay. Raises ValidationError when it does not fit or either is taken.

    ``seen``: the tag of the unit that was seen in the bay, see ``other_there``.
    """
    check_day(since, "since", today)
    check_moment(since, since_at, "since_at")
    _check_present(unit.item, chassis.item)
    if bay.set_model_id != chassis.model_id:
        raise refuse("bay", f"{bay.mark} is no bay of a {chassis.model}.")
    if not unit.model.fits.filter(pk=chassis.model_id).exists():
        raise refuse("unit", f"A {unit.model} does not go into a {chassis.model}.")
    Chassis.objects.select_for_update(of=("self",)).get(pk=chassis.pk)
    current = Seating.objects.filter(chassis=chassis, bay=bay, until__isnull=True).select_related("unit__item").first()
    _check_seen("bay", f"Bay {bay.mark}", current.unit.tag if current else NOTHING, seen)
    if overlapping(Seating.objects.filter(unit=unit), since, None):
        raise refuse("unit", f"{unit.tag} sits in a bay in that time; take it out there first.")
    if overlapping(Seating.objects.filter(chassis=chassis, bay=bay), since, None):
        raise refuse("bay", f"{bay.mark} is taken in that time; take that unit out first.")
    row = write(Seating(unit=unit, chassis=chassis, bay=bay, since=since, since_at=since_at), by=by)
    leave_place(unit.item, f"in {chassis}, bay {bay.mark}", on=since, by=by)
    turned_up([chassis.item], on=since, by=by, reason="a unit put in")
    return row


@transaction.atomic
def unseat(
    seating: Seating, *, until: date, today: date, by: Any, place: Place | None = None, why: str = ""
) -> Seating:
    """Take a plug-in unit out of its bay and lay it in ``place``. ``why``: why it parts from a set it is tied to."""
    _end(seating, until, None, today)
    write(seating, by=by)
    reason = f"out of {seating.chassis}, bay {seating.bay.mark}" + (f": {why}" if why else "")
    move([seating.unit.item], place, on=until, by=by, reason=reason[:200], apart=reason)
    return seating
