"""The demo's tables of promises, of who can be asked, and of a sale whose lots are proposed by what is there."""

from decimal import Decimal

from inventory.demo.actions.finds import Desk, cells, place_of
from inventory.demo.actions.tables import Row
from inventory.holdings.models import Item
from inventory.valuation.actions.estate import save_contact, save_promise
from inventory.valuation.actions.lots import keep_sale
from inventory.valuation.models import Contact, LotSale, Promise
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.lots import proposed
from inventory.valuation.queries.stated import stated
from inventory.valuation.rules.bases import FAIR_MARKET


def add_promise(row: Row, desk: Desk) -> None:
    item = row.find("item", Item.objects.all(), "tag")
    promise = Promise(item=item, since=row.day("since"), **cells(row, "to", "by_whom", "note"))
    save_promise(promise, today=desk.last_day, by=desk.by)


def add_contact(row: Row, desk: Desk) -> None:
    item = row.find_or_none("item", Item.objects.all(), "tag")
    words = cells(row, "name", "reach", "knows", "kind", "by_whom", "note")
    save_contact(Contact(item=item, place=place_of(row), **words), by=desk.by)


def add_sale(row: Row, desk: Desk) -> None:
    place = place_of(row)
    found = collection(
        row.text("currency"), desk.last_day, basis=FAIR_MARKET, place=place.path if place else ""
    )  # fmt: skip
    commission = row.text("commission_pct")
    lots = proposed(
        stated(found, by=str(desk.by), today=desk.last_day), desk.last_day, seller=row.text("seller"),
        commission=Decimal(commission) if commission else None,
    )  # fmt: skip
    sale = LotSale(on=row.day_or_none("on"), by_whom=str(desk.by), **cells(row, "name", "venue", "note"))
    keep_sale(sale, lots, by=desk.by)


ESTATE_TABLES = (
    ("promises", add_promise, "item to since by_whom note"),
    ("contacts", add_contact, "name reach knows kind place item by_whom note"),
    ("sales", add_sale, "name place on venue seller commission_pct currency note"),
)
