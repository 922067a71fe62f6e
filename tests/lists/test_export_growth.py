"""A longer list asks no more of the database. One growing collection serves all of these tests."""

from types import SimpleNamespace

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.house.access import add_person
from inventory.lists.queries.out import LISTS
from tests import factories as make

pytestmark = pytest.mark.django_db
NAMES = (*LISTS, "pairings")


def grow():
    for _ in range(10):
        make.FittingFactory()
        make.SeatingFactory()
        make.NeutralizationFactory()
        make.DisturbanceFactory()
        make.CompanionCheckFactory()


def asked(client, name):
    """How much a list asks when it is asked for the second time: some is asked for once only."""
    for _ in range(2):
        with CaptureQueriesContext(connection) as caught:
            answer = client.get(f"/lists/{name}/out/", {"as": "csv"})
            assert answer.status_code == 200 and b"".join(answer.streaming_content)
    return len(caught)


@pytest.fixture(scope="module")
def grown(django_db_setup, django_db_blocker):
    """Twenty of everything, and what each list asked when there were ten."""
    with django_db_blocker.unblock(), transaction.atomic():
        client = Client()
        client.force_login(add_person("somebody", "visitor", None))
        grow()
        before = {name: asked(client, name) for name in NAMES}
        grow()
        yield SimpleNamespace(client=client, before=before)
        transaction.set_rollback(True)


@pytest.mark.parametrize("name", NAMES)
def test_ten_more_rows_cost_no_more_questions(grown, name):
    assert asked(grown.client, name) == grown.before[name]
