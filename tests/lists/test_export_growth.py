"""A longer list asks no more of the database. One growing collection serves all of these tests."""

from types import SimpleNamespace

import pytest
from django.db import transaction
from django.test import Client

from inventory.house.access import add_person
from inventory.lists.queries.out import LISTS
from tests import factories as make
from tests.counting import asked
from tests.shared import settled

pytestmark = pytest.mark.django_db
NAMES = (*LISTS, "pairings")
CSV = {"as": "csv"}


def grow():
    for _ in range(10):
        make.FittingFactory()
        make.SeatingFactory()
        make.NeutralizationFactory()
        make.DisturbanceFactory()
        make.CompanionCheckFactory()


@pytest.fixture(scope="module")
def grown(django_db_setup, django_db_blocker):
    """Twenty of everything, and what each list asked when there were ten."""
    with django_db_blocker.unblock(), transaction.atomic():
        client = Client()
        client.force_login(add_person("somebody", "visitor", None))
        grow()
        before = {name: asked(client, f"/lists/{name}/out/", **CSV) for name in NAMES}
        grow()
        yield settled(SimpleNamespace(client=client, before=before))
        transaction.set_rollback(True)


@pytest.mark.parametrize("name", NAMES)
def test_ten_more_rows_cost_no_more_questions(grown, name):
    assert asked(grown.client, f"/lists/{name}/out/", **CSV) == grown.before[name]
