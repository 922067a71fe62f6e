"""What an on-air record says of the capacitor that set and unit share: what to ask before, what follows after."""

from datetime import date, time

from django.db.models import F, QuerySet

from inventory.house.records.moments import at_end
from inventory.pairing.models import Neutralization, OnAirRecord
from inventory.pairing.queries.rows import UNIT, PairFilter, PairRow, was_here
from inventory.pairing.queries.table import facts_of_pairs, pairing_table
from inventory.pairing.rules.fold import (
    DUE,
    GOOD,
    NOT_NEEDED,
    RESET_AND_VERIFY,
    SET_FOR_ANOTHER,
    as_of,
    state_of_pair,
)
from inventory.sets.models import Chassis, PlugInUnit, SetModel

WITH_RECORD = "Written down with the on-air record."  # the note of a neutralization that came with one
MOVE, STRIKE, KEEP = "move", "strike", "keep"  # what becomes of that, where the on-air record changes
NAMED = 6  # pairs in what is said after
TOLD = 2  # reasons in the question of a form; all stand on the page of the pair


def pair_row(chassis: Chassis, unit: PlugInUnit, on: date) -> PairRow | None:
    """The line of one pair at the end of a day; None where the two do not go together or were not here."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, unit_key=unit.pk, kinds=(UNIT,)))
    return rows[0] if rows else None


def asked_of(chassis: Chassis, unit: PlugInUnit, on: date, at: time | None) -> str:
    """What is asked of a pair that went on the air at a moment and was not good then; empty where nothing is.

    Without a time the pair is asked for as it was at the end of the day.
    """
    if not (was_here(chassis, on) and was_here(unit, on)):
        return ""
    (facts,) = facts_of_pairs([(chassis.pk, unit.pk)], on)
    answer = state_of_pair(as_of(facts, at_end(on, at)) if at else facts, on)
    if answer.state in (GOOD, NOT_NEEDED):
        return ""
    setting = f", setting {answer.setting}" if answer.setting and answer.state == RESET_AND_VERIFY else ""
    why = " ".join(reason.text for reason in answer.reasons[:TOLD])
    more = len(answer.reasons) - TOLD
    rest = f" And {more} more reason{'s' if more > 1 else ''}." if more > 0 else ""
    when = f"at {at:%H:%M}" if at else "at the end of the day, no time being given"
    told = f"This pair was {answer.state} on {on} {when}{setting}"
    return f"{told}: say what was done before it went on the air. {why}{rest}"


def nulls_by(record: OnAirRecord) -> QuerySet[Neutralization]:
    """The neutralizations of the pair of an on-air record, up to its moment, the latest last."""
    rows = Neutralization.objects.filter(chassis=record.chassis_id, unit=record.unit_id, on__lte=record.on, struck="")
    if record.at:
        rows = rows.exclude(on=record.on, at__gt=record.at)
    return rows.order_by("on", F("at").asc(nulls_last=True), "pk")


def its_null(record: OnAirRecord) -> Neutralization | None:
    """The neutralization that an on-air record tells of: of its pair and its moment; None where there is none."""
    if record.readied != OnAirRecord.NEUTRALIZED or record.unit_id is None:
        return None
    same = nulls_by(record).filter(on=record.on).select_related("chassis__model", "unit__model", "unit__item")
    return same.filter(at=record.at).last() or same.filter(note=WITH_RECORD).last()


def null_in_words(null: Neutralization) -> str:
    """A neutralization as a form names it."""
    return f"{null.unit} neutralized on {null.chassis}, {null.on}{f' {null.at:%H:%M}' if null.at else ''}"


def what_follows(record: OnAirRecord, today: date) -> list[str]:
    """What an on-air record just written means for its own pair and for the others of the capacitor, in sentences."""
    chassis, unit = record.chassis, record.unit
    if unit is None and chassis.model.neutralizing == SetModel.IN_CHASSIS:
        return [f"It is not known which unit was in: what {chassis} is set for since {record.on} is not known either."]
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
        and any(reason.date == record.on and reason.cause in SET_FOR_ANOTHER.values() for reason in other.reasons)
    ]
    if upset:
        holder, partner = (unit, chassis) if in_unit else (chassis, unit)
        named = [f"{(other.chassis if in_unit else other.unit).name} ({other.state})" for other in upset[:NAMED]]
        names = ", ".join(named + ([f"{len(upset) - NAMED} more"] if len(upset) > NAMED else []))
        known = f"{holder} counts as set for {partner} since {record.on}."
        if record.readied == OnAirRecord.NOT:
            known = f"{holder} was on the air with {partner} on {record.on}, not neutralized: its setting is not known."
        told.append(f"{known} No longer to be trusted with it: {names}.")
    return told


def _still(record: OnAirRecord, row: PairRow) -> str:
    if record.readied == OnAirRecord.SET_BACK:
        return f"This pair stays {row.state} until its null is verified and recorded as a neutralization."
    return f"This pair stays {row.state}: neutralize it, and write the dial setting down, before it goes on again."
