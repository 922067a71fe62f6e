"""A list on trial, locked while something is done with it: written, tried out, forgotten or read by other columns."""

import hashlib
import json

from inventory.house.writing import refuse
from inventory.lists.models import ImportRun


def reading_of(run: ImportRun) -> str:
    """A digest of what the columns of a list are and of its options: one that was tried out is written by no other."""
    told = json.dumps([run.columns, run.options], sort_keys=True)
    return hashlib.sha256(told.encode()).hexdigest()[:16]


def check_on_trial(run: ImportRun | None) -> ImportRun:
    """Raises ValidationError for a list that is not there any more, or is written."""
    if run is None:
        raise refuse("run", "This list was forgotten meanwhile.")
    if run.state != ImportRun.TRIAL:
        raise refuse("run", "This list is written already.")
    return run


def locked_trial(run: ImportRun) -> ImportRun:
    """The list as it is now, locked to the end of the transaction. Raises ValidationError where it is none on trial."""
    return check_on_trial(ImportRun.objects.select_for_update(of=("self",)).filter(pk=run.pk).first())


def locked_as_read(run: ImportRun) -> ImportRun:
    """The same where the rows were read before: refused if the columns or options are others by now."""
    fresh = locked_trial(run)
    if reading_of(fresh) != reading_of(run):
        raise refuse("run", "Its columns were changed meanwhile: look at them and try it out again.")
    return fresh
