"""The snapshot that hundreds of tests compare finds every change, on either database, and none where none stands."""

from django.db import transaction

from inventory.holdings.models import Place
from tests.factories import TubeFactory
from tubes.models import Designation


def test_a_change_is_found_and_one_taken_back_is_none(snapshot):
    before = snapshot()
    assert snapshot() == before
    with transaction.atomic():
        TubeFactory()
        assert snapshot() != before
        transaction.set_rollback(True)
    assert snapshot() == before


def test_a_changed_row_of_the_tables_is_found(snapshot, reference):
    before = snapshot()
    Designation.objects.filter(pk=Designation.objects.first().pk).update(note="changed")
    assert snapshot() != before


def test_rows_are_found_where_they_are_asked_for(snapshot):
    before = snapshot(rows=True)
    Place.objects.create(name="Bench")
    after = snapshot(rows=True)
    assert after != before and len(after["Place"]) == len(before["Place"]) + 1
