"""What lots were sold for: a lot of like things is one sale of so many; of unlike things no price of each is known."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from itertools import groupby
from typing import Any

from django.db.models import F, Q

from inventory.holdings.models import Item
from inventory.house.money import Money
from inventory.valuation.models import LotThing, SaleLot
from inventory.valuation.rules.lots import Offer, price_is_of
from inventory.valuation.rules.own import grade_of, sold_for
from inventory.valuation.rules.words import SHARE, SOLD
from tubes.queries import knowledge

#: What is asked of a thing that bears prices, and by which way from it.
THING = {
    "tag": "tag", "type_name": "tube__type__name", "marked": "tube__marked", "state": "tube__state",
    "condition": "tube__condition", "acquired": "tube__acquired_on", "model": "chassis__model__name",
    "unit_name": "pluginunit__model__name", "belonging": "companion__kind__name",
    "belongs_to": "companion__kind__set_model__name",
}  # fmt: skip
_ROW = {
    **{name: F(f"item__{way}") for name, way in THING.items()}, "key": F("item_id"), "item_kind": F("item__kind"),
    "gone_on": F("item__gone_on"), "gone_how": F("item__gone_how"), "on": F("lot__ended_on"),
    "sold_for": F("lot__sold_for"), "currency": F("lot__sold_currency"), "number": F("lot__number"),
    "sale": F("lot__sale__name"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class LotPrice:
    """A price out of a lot: of ``quantity`` things like ``thing`` (columns as ``THING``), or a share of it.

    ``kind``: sold, or the share of one price for unlike things. ``lot``: which one, in words.
    """

    thing: Mapping[str, Any]
    on: date
    money: Money
    quantity: int
    kind: str
    lot: str


def sold_lots(of: Q | None = None) -> tuple[list[LotPrice], set[int]]:
    """Prices of the lots that were sold and of which all has left; those with things of ``of`` alone (two queries).

    And the keys of all things that left with them: their price is that of the lot, whatever is written of each.
    """
    rows = LotThing.objects.filter(lot__state=SaleLot.SOLD, lot__struck="")
    wanted: set[int] | None = None
    if of is not None:
        those = dict(rows.filter(of).values_list("item_id", "lot_id"))
        if not those:
            return [], set()
        wanted, rows = set(those), rows.filter(lot__in=set(those.values()))
    told: Any = rows.order_by("lot_id", "pk").values("lot_id", "amount", "counts", **_ROW)
    found: list[LotPrice] = []
    keys: set[int] = set()
    for _, grouped in groupby(told, lambda row: row["lot_id"]):
        things = list(grouped)
        keys |= {thing["key"] for thing in things if thing["gone_on"] == thing["on"]}
        found += _prices(things, wanted)
    return found, keys


def _prices(things: Sequence[Any], wanted: set[int] | None) -> Iterator[LotPrice]:
    first = things[0]
    if any(thing["gone_on"] != thing["on"] for thing in things):
        return
    money, lot = Money(first["sold_for"], first["currency"]), f"lot {first['number']} of {first['sale']}"
    like = _likes()
    of = price_is_of([_offer(thing, like) for thing in things])
    its = {one.tag for one in of}
    asked = [thing for thing in things if wanted is None or thing["key"] in wanted]
    if its:
        if one := next((thing for thing in asked if thing["tag"] in its), None):
            yield LotPrice(one, first["on"], money, len(its), SOLD, lot)
        return
    for thing in asked:
        if share := sold_for(thing["gone_how"]):
            yield LotPrice(thing, first["on"], share, 1, SHARE, lot)


def lot_offers(things: Sequence[LotThing]) -> list[Offer]:
    """The things of a lot as the rules have them (one query)."""
    rows = LotThing.objects.filter(pk__in=[thing.pk for thing in things]).order_by("pk")
    like = _likes()
    return [_offer(row, like) for row in rows.values("amount", "counts", **_ROW)]


def _likes() -> Callable[[str], str]:
    same_as = knowledge().kin.same_as
    return cache(lambda name: min(same_as(name) | {name}))


def _offer(row: Mapping[str, Any], like: Callable[[str], str]) -> Offer:
    tube = row["item_kind"] == Item.TUBE
    named = row["type_name"] or row["marked"] or row["model"] or row["unit_name"]
    name = named or (f"{row['belonging']} of {row['belongs_to']}" if row["belonging"] else row["tag"])
    grade = grade_of(row["state"], row["condition"]) if tube else ""
    amount = None if row["amount"] is None else Decimal(row["amount"])
    same = like(row["type_name"]) if tube and row["type_name"] else name
    return Offer(row["tag"], row["item_kind"], name, same, grade, amount, counts=row["counts"])
