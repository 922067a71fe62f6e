"""Entries of a phone on tests and running hours."""

from datetime import date
from typing import Any

from django.urls import reverse
from django.utils import timezone

from inventory.holdings.queries import tag_in
from inventory.house.writing import refuse
from inventory.phone.actions.taking import Taken, cells_of, cleaned, signed
from inventory.phone.rules.entries import Entry
from inventory.running.actions import record_run, record_test
from inventory.running.forms import RunForm, SessionForm
from inventory.running.models import Run
from inventory.running.queries import judged, run_doubts
from inventory.sets.models import Chassis


def take_test(entry: Entry, by: Any, on: date) -> Taken:
    """One test of a tube, as in a test session."""
    form = cleaned(SessionForm(cells_of(entry, on, tube=entry.cells.get("tag", ""), by_whom=signed(by))))
    row = form.save(commit=False)
    row.tube = form.cleaned_data["tube"]
    saved = record_test(row, today=timezone.localdate(), by=by, odd=form.cleaned_data["odd"])
    (line,) = judged([saved])
    verdict = f" {line.verdict.verdict}. {line.verdict.reasons[0]}" if line.verdict else ""
    return Taken(f"Test of {saved.tube.tag}, {saved.on}, written.{verdict}", saved.tube.get_absolute_url())


def take_run(entry: Entry, by: Any, on: date) -> Taken:
    """A run of a set: its hours, or the times on and off."""
    tag = tag_in(entry.cells.get("tag", ""))
    chassis = Chassis.objects.select_related("model", "item").filter(item__tag=tag, item__gone_on__isnull=True).first()
    if chassis is None:
        raise refuse("tag", f"No set here has the tag {tag}." if tag else "Give the tag of the set.")
    usual = {"starts": "1", "filament": Run.FULL}
    form = cleaned(RunForm(usual | cells_of(entry, on, by_whom=signed(by)), instance=Run(chassis=chassis)))
    saved = record_run(form.save(commit=False), today=timezone.localdate(), by=by)
    told = " ".join([f"Run of {chassis}, {saved.on}, written.", *run_doubts(saved)])
    return Taken(told, reverse("running:chassis", args=[chassis.tag]))
