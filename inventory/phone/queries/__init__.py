"""What a phone takes along, and how it knows its account again."""

import base64
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

from django.utils.crypto import salted_hmac

from inventory.holdings.models import Item, Place, StockTake, Tube
from inventory.holdings.queries import items_in
from inventory.house.areas import thing_columns
from inventory.running.models import Instrument
from inventory.sets.models import Chassis

MOST_THINGS = 3000  # some hundred kilobytes in the phone


@dataclass(frozen=True)
class ThingAlong:
    """What a phone shows of a thing without a signal, and what its entries say that they saw."""

    tag: str
    words: str
    place: str
    state: str


def account_mark(user: Any) -> str:
    """By which a phone knows the entries of an account; it says nothing of who that is."""
    return salted_hmac("inventory.phone.account", str(user.pk), algorithm="sha256").hexdigest()[:24]


def seal_of(user: Any) -> str:
    """The key (AES, 256 bits, base64) that the entries of an account are locked with in a phone.

    It is handed to that account alone, so that what still waits at log-out cannot be read before it logs in again.
    """
    return base64.b64encode(salted_hmac("inventory.phone.seal", str(user.pk), algorithm="sha256").digest()).decode()


def things_along(place: Place | None) -> tuple[list[dict[str, str]], bool]:
    """Things here, or in a place and below it, by tag (two queries); and whether there are more than a phone takes."""
    rows = items_in(place) if place else Item.objects.filter(gone_on__isnull=True).order_by("tag")
    rows = rows.select_related(*thing_columns())
    found = list(rows[: MOST_THINGS + 1])
    return [asdict(_along(item)) for item in found[:MOST_THINGS]], len(found) > MOST_THINGS


def _along(item: Item) -> ThingAlong:
    row = item.row
    state = row.state if isinstance(row, Tube) else ""
    return ThingAlong(item.tag, item.words, item.place.path if item.place else "", state)


def lists_along(sees: Callable[[str], bool]) -> dict[str, Any]:
    """Places, open stock-takes, instruments and sets; ``sees``: whether somebody may look at rows of a model."""
    along: dict[str, Any] = {"places": [], "takes": [], "instruments": [], "sets": []}
    if sees("holdings.place"):
        along["places"] = list(Place.objects.values_list("path", flat=True))
    if sees("holdings.stocktake"):
        takes = StockTake.objects.filter(closed__isnull=True).select_related("place")
        along["takes"] = [[take.pk, str(take)] for take in takes]
    if sees("running.instrument"):
        along["instruments"] = [list(row) for row in Instrument.objects.order_by("name").values_list("pk", "name")]
    if sees("sets.chassis"):
        here = Chassis.objects.filter(item__gone_on__isnull=True).select_related("model", "item").order_by("item__tag")
        along["sets"] = [[chassis.tag, str(chassis)] for chassis in here[:MOST_THINGS]]
    return along
