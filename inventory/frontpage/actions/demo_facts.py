"""The demo's table of facts as found: prices, insured values, readings of testers that are gone, dates."""

from inventory.frontpage.actions.demo_finds import Desk, cells
from inventory.frontpage.actions.demo_tables import Row
from inventory.holdings.actions import add_facts
from inventory.holdings.models import Item


def add_fact(row: Row, desk: Desk) -> None:
    add_facts(
        row.find("item", Item.objects.all(), "tag"),
        as_found=bool(row.yes("as_found")),
        today=desk.last_day,
        by=desk.by,
        **cells(row, "about", "text", "instrument", "unit", "currency", "order"),
    )
