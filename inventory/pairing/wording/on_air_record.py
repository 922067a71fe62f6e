"""What the checks make of an on-air record: each meter against what it should say, and against the time before."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries.on_air_record import Supply, filament_check, volts_wanted
from inventory.pairing.rules.filament_volts import check_branches, check_supply
from inventory.pairing.rules.on_air_checks import (
    amplitude_db,
    check_current,
    check_power,
    dissipation,
    power_db,
    power_w,
    readable,
    reading_error,
)


@dataclass(frozen=True)
class Remark:
    """What a check makes of a meter: ``agrees`` None where it cannot be judged."""

    text: str
    agrees: bool | None = None
    worked_out: bool = False  # a figure for the reader, with nothing to judge

    @property
    def word(self) -> str:
        if self.worked_out:
            return "worked out"
        return {True: "agrees", False: "does not agree", None: "cannot be judged"}[self.agrees]


def told_records(
    rows: Sequence[OnAirRecord], counting: Sequence[OnAirRecord], told: int
) -> list[tuple[OnAirRecord, list[Remark]]]:
    """Records in their order; of ``counting``, all that count, the first ``told`` with what the checks make of them."""
    before = {
        row.pk: next((one for one in counting[at + 1 :] if one.output_w), None)
        for at, row in enumerate(counting[:told])
    }
    supply = Supply(counting[0].chassis) if counting else None
    return [(row, on_air_remarks(row, before[row.pk], supply) if row.pk in before else []) for row in rows]


def on_air_remarks(row: OnAirRecord, before: OnAirRecord | None = None, supply: Supply | None = None) -> list[Remark]:
    """What the checks make of an on-air record; a figure that is not there is not checked.

    ``supply``: that of its chassis, where several of its records are told.
    """
    on_supply = supply or Supply(row.chassis)
    checks = (_antenna_remark, _power_remark, partial(_filament_remark, supply=on_supply), _input_remark)
    found = []
    for check in checks:
        try:
            remark = check(row)
        except (ValueError, OverflowError) as fault:
            remark = Remark(f"Not worked out: {fault}.")
        found += [remark] if remark else []
    return found + _volts_remarks(row, on_supply) + (_change_remarks(row, before) if before else [])


def _antenna_remark(row: OnAirRecord) -> Remark | None:
    if row.antenna_a is None:
        return None
    if row.antenna_scale_a and row.antenna_a > row.antenna_scale_a:
        return Remark(
            f"{row.antenna_a:g} A lies beyond the full scale of {row.antenna_scale_a:g} A: take care of the meter.",
            False,
        )
    if row.output_w and row.load_ohm:
        answer = check_current(row.output_w, row.load_ohm, row.antenna_a, row.antenna_scale_a)
        return Remark(answer.text + _accuracy(row), answer.agrees)
    if row.antenna_scale_a and not readable(row.antenna_a, row.antenna_scale_a):
        part = f"{row.antenna_a:g} A lies below a third of the full scale of {row.antenna_scale_a:g} A"
        return Remark(f"{part}: a thermocouple meter cannot be read there.")
    if row.load_ohm:
        power = power_w(row.antenna_a, row.load_ohm)
        return Remark(f"{row.antenna_a:g} A in {row.load_ohm:g} ohm is {power:.3g} W.{_accuracy(row)}", worked_out=True)
    return None


def _accuracy(row: OnAirRecord) -> str:
    """What 2 % of full scale means at this reading, where it can be read."""
    if not (row.antenna_a and row.antenna_scale_a and readable(row.antenna_a, row.antenna_scale_a)):
        return ""
    error = reading_error(row.antenna_a, row.antenna_scale_a)
    power = f"{100 * error.power_up:+.0f} and {100 * error.power_down:.0f} % of the power"
    return f" The meter's own 2 % of full scale is {100 * error.current:.0f} % here, {power}."


def _power_remark(row: OnAirRecord) -> Remark | None:
    rated = row.chassis.model.rated_power_w
    if not (row.output_w and rated):
        return None
    answer = check_power(row.output_w, rated)
    return Remark(answer.text, answer.agrees)


def _change_remarks(row: OnAirRecord, before: OnAirRecord) -> list[Remark]:
    """Decibels since the time before; nobody says why it changed, so nothing is judged."""
    if not (row.output_w and before.output_w):
        return []
    other = ", with another unit" if row.unit_id != before.unit_id else ""
    power = power_db(row.output_w, before.output_w)
    found = [Remark(f"Output {power:+.1f} dB from the {before.output_w:g} W of {before.on}{other}.", worked_out=True)]
    if row.antenna_a and before.antenna_a and row.load_ohm and row.load_ohm == before.load_ohm:
        current = amplitude_db(row.antenna_a, before.antenna_a)
        told = f"Antenna current {current:+.1f} dB from the {before.antenna_a:g} A of {before.on}"
        apart = abs(current - power) > 1
        more = "; the same load, so it should have changed as the output did" if apart else ", as the output did"
        found.append(Remark(f"{told}{more}.", not apart))
    return found


def _input_remark(row: OnAirRecord) -> Remark | None:
    if not (row.supply_v and row.plate_ma and row.output_w):
        return None
    direct = row.supply_v * row.plate_ma / 1000
    if row.output_w > direct:
        return Remark(
            f"{row.output_w:g} W come out, but only {direct:.3g} W go into the plates: one meter is misread, or the "
            "drive goes through.",
            agrees=False,
        )
    lost = dissipation(row.supply_v, row.plate_ma / 1000, row.output_w)
    return Remark(
        f"{lost.plate_w:.0f} W left on the plates, efficiency {100 * lost.efficiency:.0f} %.", worked_out=True
    )


def _filament_remark(row: OnAirRecord, supply: Supply) -> Remark | None:
    if row.filament_a is None:
        return None
    answer = filament_check(row.chassis, row.filament_a, row.on, supply)
    if answer is None:
        return Remark(
            "Filament current: no position says on which branch of this supply its heater is, so nothing is judged."
        )
    empty = [position.mark for position in supply.empty(row.on)]
    left_out = f" Empty that day: {', '.join(empty)}." if empty else ""
    agrees = None if answer.difference_a is None else not answer.suspects
    return Remark(answer.text + left_out, agrees)


def _volts_remarks(row: OnAirRecord, supply: Supply) -> list[Remark]:
    """The filament volts against the supply's own figure, and against what each branch wants."""
    if row.filament_v is None:
        return []
    nominal = row.chassis.model.filament_supply_v
    try:
        answers = [check_supply(row.filament_v, nominal)] if nominal else []
        answers += check_branches(volts_wanted(row, supply), row.filament_v)
    except (ValueError, OverflowError) as fault:
        return [Remark(f"Not worked out: {fault}.")]
    if not answers:
        return [Remark(f"Filament volts {row.filament_v:g}: neither its nominal figure nor its branches are recorded.")]
    return [Remark(answer.text, answer.agrees) for answer in answers]
