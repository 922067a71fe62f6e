"""Where the things of a list that came back go: all that go to one place as one, but for what is refused for itself.

Things that belong together are looked for among all that go there by the list, however long it is.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.holdings.actions import locked_all, move
from inventory.holdings.actions.register import kept_in_place
from inventory.holdings.models import Item, Place
from inventory.holdings.queries.together import counted_on, out_of_the_house, root_of
from inventory.house.concerns import mates_of_many, minded_when_carried
from inventory.lists.actions.places import Places

TOGETHER = "It belongs together with {}. Move them together, or write down why not."


class Moves:
    """Moves things within a transaction of the caller's. ``why``: why what is asked about goes all the same.

    ``notes``: what is to be minded of what was moved.
    """

    def __init__(self, places: Places, *, today: date, by: Any, reason: str, why: str) -> None:
        self.places, self.today, self.by, self.reason, self.why = places, today, by, reason, why
        self.notes: list[str] = []

    def go(self, keys: Sequence[int], text: str) -> dict[int, str]:
        """Move things to the place that a cell names; why each that stays does, by key."""
        place, why = self._place(text)
        if why:
            return dict.fromkeys(keys, why)
        items = locked_all(Item(pk=key) for key in keys)
        refused = kept_in_place(items)
        into = place.path if place else ""
        going = [item for item in items if item.pk not in refused]
        while going and (stays := {} if self.why.strip() else _asked_about(going, into)):
            refused |= stays
            going = [item for item in going if item.pk not in stays]
        if going and (told := self._moved(going, place)):
            refused |= {going[0].pk: told} if len(going) == 1 else self._one_by_one(going, place)
        return refused

    def _place(self, text: str) -> tuple[Place | None, str]:
        if not text:
            return None, ""
        spot, why, _new = self.places.find(text)
        if spot is None or spot.pk is None:
            return None, why or f"there is no place {text}; add it first, or write the path of one that is here"
        return Place.objects.get(pk=spot.pk), ""

    def _moved(self, items: Sequence[Item], place: Place | None) -> str:
        """Move things together; why not."""
        try:
            with transaction.atomic():
                told = minded_when_carried(items)
                move(items, place, on=self.today, by=self.by, reason=self.reason, apart=self.why)
        except ValidationError as refusal:
            return " ".join(refusal.messages)
        if told:
            self.notes.append(told)
        return ""

    def _one_by_one(self, items: Sequence[Item], place: Place | None) -> dict[int, str]:
        return {item.pk: told for item in items if (told := self._moved([item], place))}


def _asked_about(items: Sequence[Item], into: str) -> dict[int, str]:
    """What is asked before things go together, by the key of each that it is asked of."""
    asked = {key: TOGETHER.format("; ".join(mates)) for key, mates in mates_of_many(items).items()}
    if told := out_of_the_house(items, into):
        room = root_of(into) if into else ""
        out = [item for item in items if item.place and root_of(item.place.path) != room]
        counted = counted_on(out)
        asked |= {one.pk: out_of_the_house([one], into) or told for one in out if one.pk in counted}
    return asked
