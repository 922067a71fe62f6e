"""Questions about what is owned and where it is."""

import re
from datetime import date

from django.db.models import Count, Q, QuerySet

from inventory.holdings.models import Item, Movement, Place, Tube


def places_within(place: Place) -> QuerySet[Place]:
    """A place and everything below it."""
    return Place.objects.filter(Q(pk=place.pk) | Q(path__startswith=f"{place.path} / "))


def place_named(text: str) -> Place:
    """The place that a text names: by its path, else by its code or its name alone.

    Raises ValueError where none is, or several are.
    """
    wanted = " / ".join(part.strip() for part in text.split("/"))
    found = list(Place.objects.filter(path__iexact=wanted)[:1])
    found = found or list(Place.objects.filter(Q(code__iexact=wanted) | Q(name__iexact=wanted)).order_by("path")[:9])
    if not found:
        raise ValueError(f"There is no place {text.strip()!r}; give its path as the list of places shows it.")
    if len(found) > 1:
        paths = "; ".join(place.path for place in found[:8]) + ("; and more" if len(found) > 8 else "")
        raise ValueError(f"{text.strip()!r} names several places: {paths}. Give the path of one.")
    return found[0]


#: A condition on tubes and other things with a row in the register: neither lent nor missed at a stock-take.
AT_HAND = Q(item__lent_to="", item__missed_on__isnull=True)


def tubes_here() -> QuerySet[Tube]:
    """Tubes that have not left the collection, with type, tag and place at hand."""
    return Tube.objects.filter(item__gone_on__isnull=True).select_related("type", "item__place")


_OF_PLACE = re.compile(r"https?://[^\s/]+(?:/[^\s]*?)?/places/([0-9]{1,9})/?")


def place_scanned(text: str) -> Place | None:
    """The place whose label was scanned: its code holds the address of its page."""
    match = _OF_PLACE.fullmatch(text.replace("\x00", "").strip())
    return Place.objects.filter(pk=int(match[1])).first() if match else None


def tag_of(text: str) -> Item | None:
    """The thing that bears a text as its tag, also one that has left (one query)."""
    return Item.objects.filter(tag__iexact=text.strip()).first()


def tube_by_tag(tag: str) -> Tube:
    """One tube, also one that has left. Raises Tube.DoesNotExist."""
    return Tube.objects.select_related("type", "item__place").get(item__tag__iexact=tag.strip())


def movements_of(item: Item) -> QuerySet[Movement]:
    """Every move of a thing, the latest first."""
    return item.movements.select_related("by")


def places_with_counts() -> list[tuple[Place, int, int]]:
    """Every place in order of its path, with its depth and the number of things directly in it."""
    rows = Place.objects.annotate(things=Count("items", filter=Q(items__gone_on__isnull=True))).order_by("path")
    return [(place, place.path.count(" / "), place.things) for place in rows]


def items_in(place: Place) -> QuerySet[Item]:
    """Things in a place and below it."""
    return (
        Item.objects.filter(place__in=places_within(place), gone_on__isnull=True)
        .select_related("place")
        .order_by("tag")
    )


def latest_move_day(item: Item) -> date | None:
    """The day of the last recorded move."""
    last = item.movements.order_by("-on", "-id").first()
    return last.on if last else None
