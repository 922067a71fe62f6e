"""The demo's tables of promises and of who can be asked."""

from inventory.demo.actions.finds import Desk, cells, place_of
from inventory.demo.actions.tables import Row
from inventory.holdings.models import Item
from inventory.valuation.actions.estate import save_contact, save_promise
from inventory.valuation.models import Contact, Promise


def add_promise(row: Row, desk: Desk) -> None:
    item = row.find("item", Item.objects.all(), "tag")
    promise = Promise(item=item, since=row.day("since"), **cells(row, "to", "by_whom", "note"))
    save_promise(promise, today=desk.last_day, by=desk.by)


def add_contact(row: Row, desk: Desk) -> None:
    item = row.find_or_none("item", Item.objects.all(), "tag")
    words = cells(row, "name", "reach", "knows", "kind", "by_whom", "note")
    save_contact(Contact(item=item, place=place_of(row), **words), by=desk.by)


ESTATE_TABLES = (
    ("promises", add_promise, "item to since by_whom note"),
    ("contacts", add_contact, "name reach knows kind place item by_whom note"),
)
