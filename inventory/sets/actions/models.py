"""Changes of set models, their positions and bays, and of chassis and units by serial."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day, hold_things, register
from inventory.holdings.models import Item, Place
from inventory.house.writing import refuse, remove, write
from inventory.sets.models import (
    READ,
    Approval,
    Bay,
    Chassis,
    PlugInUnit,
    Position,
    SetModel,
    UnitModel,
)

OPERATING = ("heater_v", "plate_v", "plate_w", "screen_v", "screen_w", "output_ma", "frequency_mc")


@transaction.atomic
def save_set_model(row: SetModel, *, by: Any, reason: str = "") -> SetModel:
    """Write a set model. Refuses to say that it has no position, or no neutralized one, while there is such a one."""
    if row.pk and row.no_tubes and (there := row.positions.first()):
        raise refuse("no_tubes", f"It has a position, {there.mark}; take the tick away.")
    if row.pk and row.neutralizing == SetModel.NONE and row.positions.filter(neutralized=True).exists():
        raise refuse("neutralizing", "Positions are marked neutralized; change those first.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_position(row: Position, *, by: Any, reason: str = "") -> Position:
    """Write a position. Refuses one, or a neutralized one, in a model that says it has none; a working value of 0."""
    if row.set_model.no_tubes:
        raise refuse("mark", f"{row.set_model} is said to have no tube positions; take that tick away first.")
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
    remove(row, by=by)


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
    hold_things(row)
    before = type(row)._default_manager.get(pk=row.pk)
    if before.model_id != row.model_id:
        if isinstance(row, Chassis) and (row.fittings.exists() or row.seatings.exists()):
            raise refuse("model", "Tubes or units were in positions of the former model; the model stays.")
        if isinstance(row, PlugInUnit) and (row.seatings.exists() or row.neutralizations.exists()):
            raise refuse("model", "It sat in bays or was neutralized as the former model; the model stays.")
    return write(row, by=by, reason=reason)
