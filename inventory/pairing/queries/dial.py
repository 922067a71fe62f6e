"""What an on-air record says of the capacitor that set and unit share: what to ask before, what follows after."""

from datetime import date

from inventory.pairing.models import OnAirRecord
from inventory.pairing.queries.rows import UNIT, PairFilter, PairRow
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.rules.fold import DUE, GOOD, NOT_NEEDED, RESET_AND_VERIFY
from inventory.sets.models import Chassis, PlugInUnit, SetModel

NAMED = 6  # pairs in what is said after
TOLD = 2  # reasons in the question of a form; all stand on the page of the pair


def pair_row(chassis: Chassis, unit: PlugInUnit, on: date) -> PairRow | None:
    """The line of one pair at the end of a day; None where the two do not go together or were not here."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, unit_key=unit.pk, kinds=(UNIT,)))
    return rows[0] if rows else None


def asked_of(chassis: Chassis, unit: PlugInUnit, on: date) -> str:
    """What is asked of a pair that went on the air on a day and was not good then; empty where nothing is."""
    row = pair_row(chassis, unit, on)
    if row is None or row.state in (GOOD, NOT_NEEDED):
        return ""
    setting = f", setting {row.setting}" if row.setting and row.state == RESET_AND_VERIFY else ""
    why = " ".join(reason.text for reason in row.reasons[:TOLD])
    more = len(row.reasons) - TOLD
    rest = f" And {more} more reason{'s' if more > 1 else ''}." if more > 0 else ""
    return f"This pair was {row.state} on {on}{setting}: say what was done before it went on the air. {why}{rest}"


def what_follows(record: OnAirRecord, today: date) -> list[str]:
    """What an on-air record just written means for its own pair and for the others of the capacitor, in sentences."""
    chassis, unit = record.chassis, record.unit
    row = pair_row(chassis, unit, today) if unit else None
    if unit is None or row is None or row.state == NOT_NEEDED:
        return []
    told = []
    if record.readied == OnAirRecord.NEUTRALIZED:
        told.append("The neutralization is recorded with it.")
    elif row.state != GOOD:
        told.append(_still(record, row))
    in_unit = chassis.model.neutralizing == SetModel.IN_UNIT
    others = (
        PairFilter(unit_key=unit.pk, kinds=(UNIT,)) if in_unit else PairFilter(chassis_key=chassis.pk, kinds=(UNIT,))
    )
    upset = [
        other
        for other in pairing_table(today, others)
        if other.state in (DUE, RESET_AND_VERIFY)
        and any(reason.date == record.on and reason.cause.startswith("set for another") for reason in other.reasons)
    ]
    if upset:
        holder, partner = (unit, chassis) if in_unit else (chassis, unit)
        named = [f"{(other.chassis if in_unit else other.unit).name} ({other.state})" for other in upset[:NAMED]]
        names = ", ".join(named + ([f"{len(upset) - NAMED} more"] if len(upset) > NAMED else []))
        told.append(
            f"{holder} counts as set for {partner} since {record.on}. No longer to be trusted with it: {names}."
        )
    return told


def _still(record: OnAirRecord, row: PairRow) -> str:
    if record.readied == OnAirRecord.SET_BACK:
        return f"This pair stays {row.state} until its null is verified and recorded as a neutralization."
    return f"This pair stays {row.state}: neutralize it, and write the dial setting down, before it goes on again."
