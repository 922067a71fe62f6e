"""What was found at the checks of a start sheet."""

from collections.abc import Collection, Mapping
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from inventory.holdings.actions import check_day, check_moment
from inventory.house.writing import refuse, write
from inventory.restoration.actions.reserving import hold_plan, release_line
from inventory.restoration.models import Finding, WeakPart
from inventory.restoration.queries.findings import found_well
from inventory.restoration.queries.lines import line_check, part_check, sets_asked
from inventory.restoration.rules.findings import OF_LINE, OF_PART, read_finding, with_unit
from tubes.rules.units import UnitFault

LONGEST_STEP = Finding._meta.get_field("step").max_length or 0
FOR_ALL = ("on", "at", "by_whom", "chassis")  # said once of all that is typed in at a time


@transaction.atomic
def record_findings(
    rows: Mapping[str, Finding], *, today: date, by: Any, outside: Collection[str] = (), releases: bool = True
) -> list[Finding]:
    """Write what was found at checks of the start sheet: all of it or, where one is refused, none.

    ``outside``: keys of those that are meant so though they lie outside the limit of the sheet; ``releases``: whether
    what is reserved for lines that ask for nothing any more is released.

    Raises ValidationError with the fields named ``KEY-field``, by the keys of ``rows``; what holds for all by its name.
    """
    kept: list[Finding] = []
    refused: dict[str, list[str]] = {}
    for key, row in rows.items():
        try:
            kept.append(record_finding(row, today=today, by=by, outside=key in outside, releases=releases))
        except ValidationError as refusal:
            told = refusal.message_dict.items()
            refused |= {field if field in FOR_ALL else f"{key}-{field}": texts for field, texts in told}
    if refused:
        raise ValidationError(refused)
    return kept


@transaction.atomic
def record_finding(
    row: Finding, *, today: date, by: Any, reason: str = "", outside: bool = False, releases: bool = True
) -> Finding:
    """Write what was found at a check, or its correction; the figure is read from the words of the reading, a bare one
    in the unit of the check.

    Refuses a reading in a unit of another kind than is asked, a finding that says nothing, a set of no such plan, and a
    reading outside the limit of the sheet that is not said to be wrong, unless ``outside`` says that it is meant so.
    """
    check_day(row.on, "on", today)
    check_moment(row.on, row.at, "at")
    if not row.plan.sets.filter(pk=row.chassis_id).exists():
        raise refuse("chassis", f"{row.chassis} is no set of {row.plan}.")
    _bind(row)
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
    if releases and row.all_well and (row.weak_id or row.requirement_id):
        _release(row, by)
    return row


def _bind(row: Finding) -> None:
    """Let a finding name the weak part or line that its check looks at: by its number, or as it was called by words."""
    if row.weak_id or row.requirement_id:
        return
    parts = WeakPart.objects.filter(set_model=row.chassis.model_id)
    lines = row.plan.requirements.filter(Q(chassis=None) | Q(chassis=row.chassis_id), struck="", before_power=True)
    kind, _, what = row.step.partition(" ")
    if row.step.startswith(OF_PART):
        row.weak = next((one for one in parts if part_check(one) == row.step), None)
    elif row.step.startswith(OF_LINE):
        row.requirement = next((one for one in lines.filter(weak=None) if line_check(one) == row.step), None)
    elif kind == "part":
        row.weak = next((one for one in parts if str(one) == what), None)
    elif kind == "line":
        row.requirement = lines.filter(weak=None, words=what).first()
    if row.weak or row.requirement:
        row.step = f"{'part' if row.weak else 'line'} {row.weak or row.requirement}"[:LONGEST_STEP]
    elif row.step.startswith((OF_PART, OF_LINE)):
        raise refuse("result", f"{row.asked or row.step}: what it looks at is no part of {row.chassis} any more.")


def _release(row: Finding, by: Any) -> None:
    """Release what is reserved for the line that was found as it should be: it asks for nothing any more."""
    well = found_well([row.plan])
    if (row.plan_id, row.chassis_id, row.check_key) not in well:
        return  # a later finding says otherwise
    hold_plan(row.plan)
    sets = list(row.plan.sets.all())
    for line in row.plan.requirements.filter(struck=""):
        asked = {(row.plan_id, one.pk, line_check(line)) for one in sets_asked(line, sets)}
        if line_check(line) == row.check_key and asked and well >= asked:
            release_line(line, by=by, reason="found as it should be")
