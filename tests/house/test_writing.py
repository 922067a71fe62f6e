"""Who did what stays on record, also where nobody is logged in."""

import pytest
from django.contrib.auth.models import AnonymousUser

from inventory.sets.actions import drop_approval
from inventory.sets.models import Approval
from tests.factories import PositionFactory, TubeTypeFactory
from tubes.actions import drop_designation, drop_limit, save_limit
from tubes.models import KEEPER, TABLE, Designation, Limit, Source

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("person", [None, AnonymousUser()], ids=["command", "nobody"])
def test_what_is_taken_back_by_nobody_in_particular(person, today, reference):
    """A command has no account, and somebody who is not logged in is none that a history could name."""
    kind = TubeTypeFactory()
    source = Source.objects.create(key="own", title="Own", origin=KEEPER)
    approval = Approval.objects.create(
        position=PositionFactory(), type=kind, on=today, verdict="approved", source="own"
    )
    mark = Designation.objects.create(type=kind, scheme="VT", designation="VT-991", source=source, origin=KEEPER)
    table = Limit.objects.get(key="judge.mu_low", origin=TABLE)
    limit = save_limit(Limit(key=table.key, value=table.value, source=source), by=person)
    for drop, row in ((drop_approval, approval), (drop_designation, mark), (drop_limit, limit)):
        gone = type(row).history
        drop(row, by=person)
        last = gone.filter(history_type="-").latest("history_id")
        assert last.history_user is None
