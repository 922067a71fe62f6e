"""The demo's tables of facts as found (prices, insured values, readings of testers that are gone) and of wants."""

from inventory.demo.actions.finds import Desk, cells
from inventory.demo.actions.tables import Row
from inventory.holdings.actions import add_facts, save_want
from inventory.holdings.models import Item, Want


def add_fact(row: Row, desk: Desk) -> None:
    add_facts(
        row.find("item", Item.objects.all(), "tag"),
        as_found=bool(row.yes("as_found")),
        today=desk.last_day,
        by=desk.by,
        dated=row.day_or_none("dated"),
        **cells(row, "about", "text", "instrument", "unit", "currency", "order", "basis"),
    )


def add_want(row: Row, desk: Desk) -> None:
    texts = cells(row, "thing", "quantity", "currency", "purpose", "note")
    save_want(
        Want(top_price=row.text("top_price") or None, since=row.day("since"), **texts), today=desk.last_day, by=desk.by
    )
