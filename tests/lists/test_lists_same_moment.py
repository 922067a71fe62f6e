"""Two people at one list on trial: it is written, tried out, forgotten or given other columns, one after the other.

What is done with a list is decided under a lock on it; the second of two is told what the first did.
"""

import io

import pytest
from django.db import connection

from inventory.holdings.models import Item, Place
from inventory.lists.actions.read import Options
from inventory.lists.actions.trial import drop_trial, keep_upload, set_columns, try_out, write_run
from inventory.lists.models import ImportMade, ImportRow, ImportRun
from tests.same_moment import at_once

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PostgreSQL: SQLite lets one change in"),
]
OTHER = {"Tube": "mark", "Qty": "quantity", "Where": "note"}


@pytest.fixture
def doings(keeper, today, tables):
    """What can be done with a list, each by one who read it when it was tried out."""
    run = keep_upload(io.BytesIO(b"Tube,Qty,Where\n807,3,Cellar\n"), name="shelf.csv", by=keeper)
    try_out(run, today=today)

    def doing(change):
        stale = ImportRun.objects.get()
        return lambda: change(stale)

    return {
        "write": doing(lambda stale: write_run(stale, by=keeper, today=today)),
        "try": doing(lambda stale: try_out(stale, today=today)),
        "drop": doing(drop_trial),
        "columns": doing(lambda stale: set_columns(stale, OTHER, Options())),
    }


@pytest.fixture
def tables(django_db_blocker, settings):
    """The reference tables, which a test that writes for good loads itself."""
    from tubes.actions import load_reference

    assert not load_reference(settings.REFERENCE_DIR).faults


def there():
    """Things, where each came from, rows of lists."""
    return Item.objects.count(), ImportMade.objects.count(), ImportRow.objects.count()


@pytest.mark.parametrize("second", ["drop", "try", "columns", "write"])
def test_a_list_that_is_being_written_is_left_alone(doings, second):
    one, other = at_once(doings["write"], doings[second])
    assert one is None and other == "This list is written already."
    assert there() == (3, 3, 1) and ImportRun.objects.get().state == "written"


@pytest.mark.parametrize("second", ["write", "try", "columns", "drop"])
def test_a_list_that_is_being_forgotten_is_gone(doings, second):
    assert at_once(doings["drop"], doings[second]) == (None, "This list was forgotten meanwhile.")
    assert there() == (0, 0, 0) and not ImportRun.objects.exists()


@pytest.mark.parametrize("second", ["write", "try"])
def test_a_list_is_not_read_by_columns_that_are_just_changed(doings, second):
    one, other = at_once(doings["columns"], doings[second])
    assert one is None and "columns were changed meanwhile" in other
    assert not Item.objects.exists() and not Place.objects.exists()
    assert ImportRun.objects.get().columns == OTHER and "tried" not in ImportRun.objects.get().counts


def test_a_list_is_written_when_it_is_tried_out_once_more(doings):
    assert at_once(doings["try"], doings["write"]) == (None, None)
    assert there() == (3, 3, 1) and ImportRun.objects.get().state == "written"
