"""What a text finds in the register: tags, serials as found, own numbers, borrowers, makers, part lots and places."""

from typing import Any
from urllib.parse import urlencode

from django.db.models import Count, Min, Q
from django.db.models.functions import Lower
from django.urls import reverse

from inventory.holdings.models import Fact, Item, PartLot, Place
from inventory.holdings.queries.counts import tag_in
from inventory.holdings.queries.facts import numbered
from inventory.holdings.queries.register import tubes_here
from inventory.holdings.rules.facts import OWN_NUMBER, SERIAL
from inventory.house.areas import thing_columns
from inventory.house.search import Finds, Found, begins, finds, listed, thing_finds, told, worded


def itself(item: Item) -> Item:
    return item


def search(text: str) -> list[Finds]:
    """Things by tag (also those that left), by a serial that was found, by their keeper's own number, by who
    has them on loan; makers with their tubes; lots, also by their maker; places.
    """
    things = Item.objects.select_related(*thing_columns()).order_by("tag")
    tagged = things.filter(tag=tag_in(text))
    found = thing_finds("tag", tagged, lambda item: (item.tag, told(item.get_kind_display(), item.words)), itself)
    for about, kind in ((OWN_NUMBER, "own number"), (SERIAL, "serial as found")):
        rows = things.filter(pk__in=numbered(text).filter(about=about).values("item"))
        numbers = thing_finds(kind, rows, lambda item: (item.tag, item.words), itself)
        if not numbers and (begun := begins(text, "text")) is not None:
            rows = things.filter(pk__in=Fact.objects.filter(begun, about=about, struck="").values("item"))
            numbers = thing_finds(kind, rows, lambda item: (item.tag, told(item.words, "begins so")), itself)
        found += numbers
    if (named := worded(text, "lent_to")) is not None:
        rows = things.filter(named, gone_on__isnull=True)
        found += thing_finds("lent", rows, lambda item: (item.tag, item.words), itself)
    found += _makers(text)
    if (named := worded(text, "name", "value", "serial", "maker")) is not None:
        lots = PartLot.objects.filter(named, item__gone_on__isnull=True).select_related("item__place").order_by("item")
        found += thing_finds("part lot", lots, lambda lot: (lot.tag, told(str(lot), lot.maker)))
    if (named := worded(text, "path", "name")) is not None:
        found += finds("place", Place.objects.filter(named).order_by("path"), lambda place: (place.path, place.name))
    elif text:
        exact = Place.objects.filter(code__iexact=text).order_by("path")
        found += finds("place", exact, lambda place: (place.path, place.name))
    return found


def _makers(text: str) -> list[Finds]:
    """Makers so named of tubes here, however large or small they are written, with the count of their tubes.

    A name of two letters is only found as a whole.
    """
    named = worded(text, "maker") or Q(maker__iexact=text)
    rows = tubes_here().filter(named).exclude(maker="").order_by().values(small=Lower("maker"))
    rows = rows.annotate(count=Count("pk"), name=Min("maker")).order_by("-count", "small")
    return listed("maker", rows, _maker)


def _maker(row: dict[str, Any]) -> Found:
    tubes = f"{row['count']} tube{'s' * (row['count'] != 1)} here"
    return Found("maker", row["name"], tubes, f"{reverse('holdings:tube-list')}?{urlencode({'maker': row['name']})}")
