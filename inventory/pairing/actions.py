"""Changes of the ledger: neutralizations, disturbances, companions and their comparisons. All may be dated back."""

from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import check_day, check_moment, register, turned_up
from inventory.holdings.models import Item, Place
from inventory.house.records.actions import hold, strike_out
from inventory.house.writing import refuse, write
from inventory.pairing.models import (
    Companion,
    CompanionCheck,
    CompanionKind,
    Disturbance,
    Neutralization,
    OnAirRecord,
)
from inventory.pairing.queries import WITH_RECORD, its_null, nulls_by
from inventory.pairing.queries.dial import KEEP, MOVE, STRIKE, null_in_words
from inventory.pairing.rules.causes import OF_CAPACITOR
from inventory.pairing.rules.kept_null import fault_in_rows, fit_of, readings_of
from inventory.pairing.rules.null import find_null
from inventory.pairing.rules.null_fit import NullRefused
from inventory.sets.actions import tidy_serial
from inventory.sets.models import READ, Chassis, MatedPart, MatedSet, PlugInUnit, SetModel


def _check_fit(chassis: Chassis, unit: PlugInUnit) -> None:
    if not unit.model.fits.filter(pk=chassis.model_id).exists():
        raise refuse("unit", f"A {unit.model} does not go into a {chassis.model}.")


@transaction.atomic
def record_neutralization(
    row: Neutralization, *, today: date, by: Any, reason: str = "", seen: str = ""
) -> Neutralization:
    """Write a neutralization of a unit on a chassis (new, dated back, or corrected), with the null of its readings.

    ``seen``: the state that the person who corrects it was shown, see ``hold``.
    """
    hold(row, seen)
    check_day(row.on, "on", today)
    check_moment(row.on, row.at)
    _check_fit(row.chassis, row.unit)
    if row.chassis.model.neutralizing == SetModel.NONE:
        raise refuse("chassis", f"A {row.chassis.model} has no neutralized position.")
    row.setting = row.setting.strip()
    _find_its_null(row)
    if row.pk is None:
        turned_up([row.chassis.item, row.unit.item], on=row.on, by=by, reason="neutralized")
    return write(row, by=by, reason=reason)


def _find_its_null(row: Neutralization) -> None:
    """What the readings say is worked out when they are written down, never typed."""
    if not row.readings:
        row.indicator, row.null_fit = "", {}
        return
    if not row.indicator:
        raise refuse("indicator", "Say what the indicator shows, or leave the readings out.")
    if fault := fault_in_rows(row.readings):
        raise refuse("readings", f"{fault[0].upper()}{fault[1:]}.")
    try:
        row.null_fit = fit_of(find_null(readings_of(row.readings), row.indicator))
    except NullRefused as reason:
        raise refuse("readings", f"No null: {reason}. Mend the readings or leave them out.") from reason


@transaction.atomic
def record_disturbance(row: Disturbance, *, today: date, by: Any, reason: str = "", seen: str = "") -> Disturbance:
    """Write a disturbance of a unit, of a chassis, of both, or of one pair (new, dated back, or corrected)."""
    hold(row, seen)
    check_day(row.on, "on", today)
    check_moment(row.on, row.at)
    if row.chassis is None and row.unit is None:
        raise refuse("chassis", "Say which chassis or which unit was disturbed.")
    if row.both and not (row.chassis and row.unit):
        raise refuse("unit" if row.chassis else "chassis", "Both were upset: name the other one too.")
    if row.chassis and row.unit:
        _check_fit(row.chassis, row.unit)
    if row.cause in OF_CAPACITOR:
        _check_capacitor_side(row)
    if row.pk is None:
        things = [end.item for end in (row.chassis, row.unit) if end]
        turned_up(things, on=row.on, by=by, reason="disturbed")
    return write(row, by=by, reason=reason)


def _check_capacitor_side(row: Disturbance) -> None:
    """A touched capacitor concerns every partner of what holds it: it is recorded on that alone."""
    if row.chassis:
        homes = {row.chassis.model.neutralizing}
    else:
        assert row.unit is not None
        homes = set(row.unit.model.fits.values_list("neutralizing", flat=True))
    homes.discard(SetModel.NONE)
    wrong_side = (
        (homes == {SetModel.IN_UNIT} and row.chassis is not None)
        or (homes == {SetModel.IN_CHASSIS} and row.unit is not None)
        or (len(homes) > 1 and row.chassis is not None)
    )
    if not homes or wrong_side:
        holder = "the unit" if homes == {SetModel.IN_UNIT} else "the chassis" if homes else "nothing of this model"
        raise refuse(
            "cause",
            f"The neutralizing capacitor sits in {holder}: choose '{holder}' alone, "
            "since all its partners are concerned.",
        )


@transaction.atomic
def record_on_air(
    row: OnAirRecord, *, today: date, by: Any, reason: str = "", seen: str = "", setting: str = "", with_null: str = ""
) -> OnAirRecord:
    """Write what the meters said (new, dated back, or corrected).

    Where a new one says that it was neutralized before it went on the air, that is recorded too, with its dial
    ``setting``. Where one that said so is corrected to another unit, moment or answer, ``with_null`` says what becomes
    of that neutralization: ``MOVE`` (it is corrected too), ``STRIKE`` or ``KEEP``; without it nothing is corrected.
    """
    hold(row, seen)
    check_day(row.on, "on", today)
    check_moment(row.on, row.at)
    if row.unit:
        _check_fit(row.chassis, row.unit)
    before = OnAirRecord.objects.filter(pk=row.pk).select_related("chassis__model", "unit").first()
    if before is None:
        things = [end.item for end in (row.chassis, row.unit) if end]
        turned_up(things, on=row.on, by=by, reason="on the air")
        if row.readied == OnAirRecord.NEUTRALIZED:
            _record_its_null(row, setting, today, by)
    elif _tells_another(row, before):
        _settle_its_null(row, before, with_null, today, by, reason)
    if before is None or _tells_another(row, before):
        _check_readied(row)
    return write(row, by=by, reason=reason)


def _tells_another(row: OnAirRecord, before: OnAirRecord) -> bool:
    """Whether a corrected record tells of another unit, another moment, or something else done before."""
    return any(getattr(row, name) != getattr(before, name) for name in ("unit_id", "on", "at", "readied"))


def _settle_its_null(row: OnAirRecord, before: OnAirRecord, what: str, today: date, by: Any, reason: str) -> None:
    """What becomes of the neutralization that a record told of before it was corrected."""
    null = its_null(before)
    if null is None:
        return
    if what == MOVE:
        if row.unit is None or row.readied != OnAirRecord.NEUTRALIZED:
            raise refuse("its_null", "Nothing is said to be neutralized now: strike that one out too, or let it stand.")
        null.unit = row.unit
        if (row.on, row.at) != (before.on, before.at):
            null.on, null.at = row.on, row.at
        record_neutralization(null, today=today, by=by, reason=reason)
    elif what == STRIKE:
        strike_out(null, reason or "with its on-air record", by=by)
    elif what != KEEP:
        told = f"{null_in_words(null)}, still stands: say whether it is corrected too, struck out too, or stands as it"
        raise refuse("its_null", f"{told} is.")


def _check_readied(row: OnAirRecord) -> None:
    """Refuse what was done before it went on the air where the ledger of the pair knows nothing of the kind."""
    if row.readied == OnAirRecord.NEUTRALIZED and not nulls_by(row).filter(on=row.on).exists():
        told = f"Nobody wrote down that {row.unit or 'a unit'} was neutralized on {row.chassis}, {row.on}, before this"
        raise refuse("readied", f"{told}: record that first, or say something else here.")
    if row.readied == OnAirRecord.SET_BACK and not nulls_by(row).exclude(setting="").exists():
        raise refuse("readied", "No setting of this pair is written down.")


@transaction.atomic
def strike_on_air(row: OnAirRecord, why: str, *, by: Any, with_null: str = "") -> OnAirRecord:
    """Strike out an on-air record; ``with_null``: ``STRIKE`` or ``KEEP`` the neutralization that it tells of."""
    if (null := its_null(row)) and not row.struck:
        if with_null not in (STRIKE, KEEP):
            raise refuse(
                "its_null", f"{null_in_words(null)}, still stands: say whether it is struck out too or stands."
            )
        if with_null == STRIKE:
            strike_out(null, why, by=by)
    return strike_out(row, why, by=by)


def _record_its_null(row: OnAirRecord, setting: str, today: date, by: Any) -> None:
    if row.unit is None:
        raise refuse("unit", "Say which unit was neutralized.")
    null = Neutralization(
        chassis=row.chassis, unit=row.unit, on=row.on, at=row.at, setting=setting, frequency_kc=row.frequency_kc,
        by_whom=row.by_whom, note=WITH_RECORD,
    )  # fmt: skip
    record_neutralization(null, today=today, by=by)


@transaction.atomic
def save_bridge(model: SetModel, *, by: Any, reason: str = "") -> SetModel:
    """Write the neutralizing circuit of a set model."""
    return write(model, by=by, reason=reason or "neutralizing circuit")


@transaction.atomic
def save_companion_kind(row: CompanionKind, *, by: Any, reason: str = "") -> CompanionKind:
    """Write what every set of a model should have with it, or its new name. Of another model it is another thing."""
    was = None if row.pk is None else CompanionKind.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if was is not None and was.set_model_id != row.set_model_id:
        raise refuse("set_model", f"It belongs to {was.set_model}; add one for the other model instead.")
    return write(row, by=by, reason=reason)


def _tidy_companion(row: Companion) -> None:
    tidy_serial(row)
    row.mate_serial = row.mate_serial.strip()
    if row.mate_reading == READ and not row.mate_serial:
        raise refuse("mate_serial", "Give the number of the set it names, or say that it is missing or cannot be read.")
    if row.mate_reading != READ and row.mate_serial:
        raise refuse("mate_reading", "A number is given, so it was read; correct one of the two.")
    if row.kept_with and row.kept_with.model_id != row.kind.set_model_id:
        raise refuse("kept_with", f"A {row.kind.name} of a {row.kind.set_model} belongs to no {row.kept_with.model}.")


@transaction.atomic
def add_companion(row: Companion, *, by: Any, on: date, place: Place | None = None, tag: str = "") -> Companion:
    """Add a companion to the register."""
    _tidy_companion(row)
    row.item = register(Item.COMPANION, by=by, on=on, place=place, tag=tag)
    return write(row, by=by)


@transaction.atomic
def change_companion(row: Companion, *, by: Any, reason: str = "") -> Companion:
    """Write a changed companion."""
    _tidy_companion(row)
    return write(row, by=by, reason=reason)


@transaction.atomic
def record_comparison(row: CompanionCheck, *, today: date, by: Any, reason: str = "", seen: str = "") -> CompanionCheck:
    """Write that somebody compared a companion with a set (new, dated back, or corrected)."""
    hold(row, seen)
    check_day(row.on, "on", today)
    check_moment(row.on, row.at)
    if row.chassis.model_id != row.companion.kind.set_model_id:
        raise refuse(
            "chassis", f"A {row.companion.kind.name} of this kind belongs to a {row.companion.kind.set_model}."
        )
    if row.pk is None:
        turned_up([row.companion.item, row.chassis.item], on=row.on, by=by, reason="compared")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_mated_set(row: MatedSet, *, by: Any, reason: str = "") -> MatedSet:
    """Write a mated set."""
    row.name, row.number = row.name.strip(), row.number.strip()
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_mated_part(row: MatedPart, *, today: date, by: Any, reason: str = "") -> MatedPart:
    """Write one place of a mated set, with its piece or without."""
    row.number = row.number.strip()
    if row.item is None and (row.number or row.verdict):
        raise refuse("item", "Say which piece bears that number or was compared, or leave those empty.")
    if row.item is not None:
        _check_piece(row)
    if row.verdict:
        check_day(row.compared_on, "compared_on", today)
    elif row.compared_on:
        raise refuse("verdict", "Say what the comparison showed, or leave its day empty.")
    return write(row, by=by, reason=reason)


def _check_piece(row: MatedPart) -> None:
    if row.number_reading == READ and not row.number:
        raise refuse("number", "Give the number or mark on it, or say that it has none or cannot be read.")
    if row.number_reading != READ and row.number:
        raise refuse("number_reading", "A number is given, so it was read; correct one of the two.")
    other = MatedPart.objects.filter(item=row.item).exclude(pk=row.pk).select_related("mated_set").first()
    if other:
        raise refuse("item", f"{row.item} is the {other} already; take it out there first.")
