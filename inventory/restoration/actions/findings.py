"""What was found at the checks of a start sheet."""

from collections.abc import Collection, Mapping
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.holdings.actions import check_day, check_moment
from inventory.house.writing import refuse, write
from inventory.restoration.actions.reserving import hold_plan, release_line
from inventory.restoration.models import Finding
from inventory.restoration.queries.findings import found_well
from inventory.restoration.queries.lines import CHECKS_OF_LINES, line_check
from inventory.restoration.rules.findings import read_finding, with_unit
from tubes.rules.units import UnitFault

FOR_ALL = ("on", "at", "by_whom", "chassis")  # said once of all that is typed in at a time


@transaction.atomic
def record_findings(
    rows: Mapping[str, Finding], *, today: date, by: Any, outside: Collection[str] = ()
) -> list[Finding]:
    """Write what was found at checks of the start sheet: all of it or, where one is refused, none.

    ``outside``: keys of those that are meant so though they lie outside the limit of the sheet.

    Raises ValidationError with the fields named ``KEY-field``, by the keys of ``rows``; what holds for all by its name.
    """
    kept: list[Finding] = []
    refused: dict[str, list[str]] = {}
    for key, row in rows.items():
        try:
            kept.append(record_finding(row, today=today, by=by, outside=key in outside))
        except ValidationError as refusal:
            told = refusal.message_dict.items()
            refused |= {field if field in FOR_ALL else f"{key}-{field}": texts for field, texts in told}
    if refused:
        raise ValidationError(refused)
    return kept


@transaction.atomic
def record_finding(row: Finding, *, today: date, by: Any, reason: str = "", outside: bool = False) -> Finding:
    """Write what was found at a check, or its correction; the figure is read from the words of the reading, a bare one
    in the unit of the check.

    Refuses a reading in a unit of another kind than is asked, a finding that says nothing, a set of no such plan, and a
    reading outside the limit of the sheet that is not said to be wrong, unless ``outside`` says that it is meant so.
    """
    check_day(row.on, "on", today)
    check_moment(row.on, row.at, "at")
    if not row.plan.sets.filter(pk=row.chassis_id).exists():
        raise refuse("chassis", f"{row.chassis} is no set of {row.plan}.")
    row.reading_text, row.result = with_unit(row.reading_text, row.unit), row.result.strip()
    if not row.words:
        raise refuse("result", "Say what was found: a reading, a word, or whether it is as it should be.")
    if row.reading_text and not row.unit:
        raise refuse("reading_text", "No number is asked here; write it in words.")
    try:
        row.reading = read_finding(row.reading_text, row.unit)
    except UnitFault as fault:
        raise refuse("reading_text", str(fault)) from fault
    if row.outside and row.all_well is not False and not outside:
        raise refuse(
            "outside",
            f"{row.reading_text} lies outside the limit of the sheet ({row.outside}). Say that it is not as it should "
            "be, or tick that it was read so and is to be written down as it stands.",
        )
    write(row, by=by, reason=reason)
    if row.all_well and row.step.startswith(CHECKS_OF_LINES):
        _release(row, by)
    return row


def _release(row: Finding, by: Any) -> None:
    """Release what is reserved for the line that was found as it should be: it asks for nothing any more."""
    if (row.plan_id, row.chassis_id, row.step) not in found_well([row.plan]):
        return  # a later finding says otherwise
    hold_plan(row.plan)
    first = row.plan.sets.first()
    for line in row.plan.requirements.filter(struck="").select_related("weak"):
        chassis = line.chassis_id or (first.pk if first else None)
        if chassis == row.chassis_id and line_check(line) == row.step:
            release_line(line, by=by, reason="found as it should be")
