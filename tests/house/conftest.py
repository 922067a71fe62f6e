"""The world that the tests of a file share."""

from copy import deepcopy

import pytest


@pytest.fixture(scope="module")
def one_world(django_db_setup, django_db_blocker):
    """One thing of every sort, made once for the tests of a file; each of them is rolled back to it."""
    from django.db import transaction

    from tests.house.world import World

    with django_db_blocker.unblock(), transaction.atomic():
        yield World()
        transaction.set_rollback(True)


@pytest.fixture
def world(one_world, db):
    """The shared world: its rows as they were made, and things of its own to change."""
    return deepcopy(one_world)
