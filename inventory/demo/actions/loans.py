"""The demo's loans: what the museum lent, and what is there on loan."""

from inventory.demo.actions.finds import Desk
from inventory.demo.actions.tables import Row
from inventory.holdings.actions import lend
from inventory.holdings.actions.loans import borrow
from inventory.holdings.models import Item, Loan


def add_loan(row: Row, desk: Desk) -> None:
    item = row.find("item", Item.objects.all(), "tag")
    lend(
        item, row.text("lent_to"), on=row.day("on"), today=desk.last_day, by=desk.by, due=row.day_or_none("due"),
        terms=row.text("terms"), condition=row.text("condition"), why=row.text("why"),
    )  # fmt: skip


def add_borrowed(row: Row, desk: Desk) -> None:
    loan = Loan(
        item=row.find("item", Item.objects.all(), "tag"), who=row.text("who"), since=row.day("since"),
        due=row.day_or_none("due"), terms=row.text("terms"), condition=row.text("condition"),
    )  # fmt: skip
    borrow(loan, today=desk.last_day, by=desk.by)
