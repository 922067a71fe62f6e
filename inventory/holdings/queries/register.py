"""Questions about what is owned and where it is."""

from datetime import date

from django.db.models import Q, QuerySet

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


def tag_of(text: str) -> Item | None:
    """The thing that bears a text as its tag, also one that has left (one query)."""
    return Item.objects.filter(tag__iexact=text.strip()).first()


def tube_by_tag(tag: str) -> Tube:
    """One tube, also one that has left. Raises Tube.DoesNotExist."""
    return Tube.objects.select_related("type", "item__place").get(item__tag__iexact=tag.strip())


def movements_of(item: Item) -> QuerySet[Movement]:
    """Every move of a thing, the latest first."""
    return item.movements.select_related("by")


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
