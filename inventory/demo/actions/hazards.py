"""The demo's hazards: marks on things, and checks of things and places that found none."""

from inventory.demo.actions.finds import Desk, place_of
from inventory.demo.actions.tables import Row
from inventory.holdings.actions import note_hazards
from inventory.holdings.actions.hazard_checks import check_place, check_things
from inventory.holdings.models import HazardCheck, Item


def add_mark(row: Row, desk: Desk) -> None:
    note_hazards(
        row.find("item", Item.objects.all(), "tag"), [row.text("hazard")], standing=row.text("standing"),
        reason=row.text("reason"), on=row.day("on"), by=desk.by, by_whom=row.text("by_whom"),
    )  # fmt: skip


def add_check(row: Row, desk: Desk) -> None:
    """A check of a place where one is named, else of a thing."""
    check = HazardCheck(
        hazard=row.text("hazard"), how=row.text("how"), on=row.day("on"), by_whom=row.text("by_whom"),
        note=row.text("note"),
    )  # fmt: skip
    if place := place_of(row):
        check_place(check, place, by=desk.by, today=desk.last_day)
    else:
        check_things(check, [row.find("item", Item.objects.all(), "tag")], by=desk.by, today=desk.last_day)
