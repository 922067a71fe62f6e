"""Two people at once: a lot is sold while somebody takes a tube of it out of its set."""

import time
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Event

import pytest
from django.db import connection, transaction
from django.utils import timezone

from inventory.holdings.actions.locking import locked
from inventory.house.money import Money
from inventory.sets.models import Fitting
from inventory.valuation.actions.lots import sell_lot
from tests.factories import FittingFactory, days_ago
from tests.same_moment import LONGEST, waiting
from tests.valuation.rows import SaleLotFactory

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PostgreSQL: SQLite lets one change in"),
]


def test_a_lot_is_sold_while_a_tube_of_it_is_taken_out():
    """Who takes a tube out locks its stay, then the tube; who sold its lot the other way round waited for ever."""
    fitting = FittingFactory(until=None, since=days_ago(30))
    lot, today = SaleLotFactory(things=[fitting.chassis.item, fitting.tube.item]), timezone.localdate()
    has_the_stay = Event()

    def as_who_takes_it_out():
        try:
            with transaction.atomic():
                Fitting.objects.select_for_update(of=("self",), no_key=True).get(pk=fitting.pk)
                has_the_stay.set()
                end = time.monotonic() + LONGEST
                while not waiting() and time.monotonic() < end:
                    time.sleep(0.01)
                return locked(fitting.tube.item).tag
        finally:
            connection.close()

    with ThreadPoolExecutor(1) as threads:
        other = threads.submit(as_who_takes_it_out)
        assert has_the_stay.wait(LONGEST)
        sell_lot(lot, Money(Decimal(40), "EUR"), on=today, venue="", by=None)
        assert other.result(LONGEST) == fitting.tube.tag
    lot.refresh_from_db()
    assert lot.state == "sold"
