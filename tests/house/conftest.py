"""The world that the tests of a file share."""

from copy import deepcopy

import pytest


@pytest.fixture(scope="module")
def one_world(django_db_setup, django_db_blocker):
    """One thing of every sort, made once for the tests of a file; each of them is rolled back to it."""
    from django.db import transaction

    from tests.house.world import World
    from tests.shared import settled

    with django_db_blocker.unblock(), transaction.atomic():
        yield settled(World())
        transaction.set_rollback(True)


@pytest.fixture
def world(one_world, db):
    """The shared world: its rows as they were made, and things of its own to change."""
    return _own_of(one_world)


def _own_of(shared):
    """A world whose things are copied when a test asks for them, which is for a few of a hundred."""

    class Own(type(shared)):
        def __init__(self):
            self.__dict__["_copied"] = {}

        def __getattr__(self, name):
            if name.startswith("__") or name not in vars(shared):
                raise AttributeError(name)
            self.__dict__[name] = deepcopy(vars(shared)[name], self._copied)
            return self.__dict__[name]

    return Own()
