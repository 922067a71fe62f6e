"""Lots of parts for tests."""

from inventory.holdings.models import Item, PartLot, PartType
from tests.factories import ItemFactory


def lot_of(count=4, place=None, *, named="capacitor", about=None, **figures):
    """A lot of so many of a kind of part; ``about``: more columns of the lot."""
    kind = PartType.objects.create(**{"kind": "capacitor", "value": 10_000.0, "volts": 600.0} | figures)
    item = ItemFactory(kind=Item.PARTS, place=place)
    columns = {"name": named, "type": kind, "least": count, "most": count} | (about or {})
    return PartLot.objects.create(item=item, **columns)
