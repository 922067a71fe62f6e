"""Tubes by their stamp, one after the other; and taking back what was entered wrongly a moment ago."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Count, ProtectedError

from inventory.holdings.actions.locking import for_change
from inventory.holdings.actions.register import add_tubes
from inventory.holdings.models import Item, Movement, Place, Tube
from inventory.holdings.queries import shelf_reading
from inventory.holdings.rules.shelf_line import DITTO
from inventory.house.writing import refuse, remove
from tubes.models import TubeType

WITHOUT = "none"  # the choice to save a beginning of a number as it is, without a type


@dataclass(frozen=True)
class Shelved:
    """Tubes that were entered by their stamp, and how it was read."""

    tubes: list[Tube]
    says: str

    @property
    def tags(self) -> str:
        """Their tags, first and last."""
        first, last = self.tubes[0].tag, self.tubes[-1].tag
        return first if first == last else f"{first} to {last}"


@transaction.atomic
def add_from_shelf(tube: Tube, choice: str, *, count: int, place: Place | None, by: Any, on: date) -> Shelved:
    """Add tubes alike with the type that their stamp means. Raises ValidationError for what is no stamp.

    ``choice``: the type that was chosen where the stamp is only the beginning of a number, or ``WITHOUT``.
    """
    if tube.marked.strip() in DITTO:
        raise refuse("marked", "Nothing stands before it that it could mean: give the stamp.")
    reading = shelf_reading(tube.marked)
    if reading.label_of or reading.address:
        raise refuse("marked", reading.says)
    tube.type = reading.type
    if reading.begun and choice != WITHOUT:
        if choice not in dict(reading.begun):
            raise refuse("marked", reading.says)
        tube.type = TubeType.objects.get(name=choice)
    made = add_tubes(tube, by=by, on=on, place=place, count=count)
    chosen = tube.type is not None and reading.type is None
    return Shelved(made, f"Taken for {tube.type}." if chosen else reading.says)


def untouched(keys: Sequence[int]) -> str:
    """Why these new tubes can no longer be taken back, or nothing (three queries)."""
    again = (
        (Item.history.filter(id__in=keys), "id", "was changed"),
        (Tube.history.filter(item_id__in=keys), "item_id", "was changed"),
        (Movement.objects.filter(item__in=keys), "item_id", "was moved"),
    )
    for rows, name, told in again:
        twice = rows.order_by(name).values(name).annotate(times=Count("*")).filter(times__gt=1).first()
        if twice:
            return f"{Item.objects.get(pk=twice[name]).tag} {told} since."
    return ""


@transaction.atomic
def take_back_entry(keys: Sequence[int], *, by: Any) -> list[str]:
    """Take tubes out of the register again that were entered by mistake, while nothing else happened to them.

    Their history says who took them back; their tags are not given again. Returns the tags. Raises ValidationError.
    """
    rows = Item.objects.filter(pk__in=keys, kind=Item.TUBE, gone_on__isnull=True)
    items = list(for_change(rows, removing=True))
    if not items or len(items) != len(keys):
        raise refuse("entry", "It is not there any more.")
    if why := untouched(keys):
        raise refuse("entry", f"{why} Change it or part with it instead.")
    Movement.objects.filter(item__in=items).delete()
    tubes = {tube.pk: tube for tube in Tube.objects.filter(item__in=items)}
    for item in items:
        try:
            remove(tubes[item.pk], by=by, reason="entered by mistake")
            remove(item, by=by, reason="entered by mistake")
        except ProtectedError as fault:
            raise refuse("entry", f"{item.tag} is in use: something else names it. Part with it instead.") from fault
    return [item.tag for item in items]
