"""Papers of more things than a database takes keys in one condition (SQLite by default: 999 or 32,766 variables)."""

import sqlite3

import pytest
from django.db import connection
from django.utils import timezone

from inventory.holdings.models import Item, Tube
from inventory.holdings.queries.type_hazards import hazards_of_types
from inventory.valuation.actions.lots import keep_sale
from inventory.valuation.models import LotSale
from inventory.valuation.queries.catalogue import catalogue
from inventory.valuation.queries.estate import estate
from inventory.valuation.queries.lots import kept_sale, proposed
from inventory.valuation.queries.schedule import schedule
from tests.factories import TubeTypeFactory
from tests.valuation.test_schedule import sales, valued

pytestmark = pytest.mark.django_db
MANY, VARIABLES, AT_ONCE = 530, 510, 90  # small, to be quick


@pytest.fixture
def few_variables(monkeypatch):
    if connection.vendor != "sqlite":
        pytest.skip("a limit of SQLite")
    for module in ("valuation.queries.on_paper", "holdings.actions.locking"):
        monkeypatch.setattr(f"inventory.{module}.AT_ONCE", AT_ONCE)
    connection.ensure_connection()
    before = connection.connection.getlimit(sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER)
    yield lambda: connection.connection.setlimit(sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER, VARIABLES)
    connection.connection.setlimit(sqlite3.SQLITE_LIMIT_VARIABLE_NUMBER, before)


def test_every_paper_can_be_had_of_many_things(few_variables, keeper):
    kind = TubeTypeFactory()
    sales(kind, 40)
    items = Item.objects.bulk_create([Item(tag=f"W-{n:05d}", kind="tube") for n in range(MANY)], batch_size=50)
    Tube.objects.bulk_create([Tube(item=one, type=kind, marked="ZZ", state="good") for one in items], batch_size=40)
    hazards_of_types()  # kept of all types, which no collection makes more
    few_variables()
    found, today = valued(), timezone.localdate()
    (line,) = schedule(found, today).buildings[0].lines
    assert len(line.pieces) == len(estate(found, today).lines[0].pieces) == MANY
    ((_, ((_, entries),)),) = catalogue(found, today).chapters
    assert len(entries[0].pieces) == MANY
    lots = proposed(found, today, size=50)
    kept = kept_sale(keep_sale(LotSale(name="All of it"), lots, by=keeper))
    assert sum(len(lot.pieces) for lot in kept.lots) == sum(len(lot.pieces) for lot in lots.lots) > VARIABLES
