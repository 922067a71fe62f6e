"""What the entries of a phone have in common: forms filled with their cells, things by tag, places by path."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from inventory.holdings.models import Item, Place
from inventory.holdings.queries import place_scanned, tag_in
from inventory.holdings.queries.register import place_named
from inventory.house.writing import refuse
from inventory.phone.rules.entries import Clash, Entry


@dataclass(frozen=True)
class Taken:
    """What was done, in words, and the page that shows it."""

    told: str
    address: str = ""


class StandsOtherwise(Exception):
    """What the entry saw was changed here meanwhile; it is the keeper's to say which is right."""

    def __init__(self, clashes: Sequence[Clash]) -> None:
        super().__init__("; ".join(f"{one.field}: {one.old} -> {one.here}" for one in clashes))
        self.clashes = tuple(clashes)


def cleaned(form: forms.BaseForm) -> Any:
    """The form, where it is valid. Raises ValidationError with what it says by field."""
    if form.is_valid():
        return form
    raise ValidationError({field: [str(text) for text in texts] for field, texts in form.errors.items()})


def cells_of(entry: Entry, on: date, **also: Any) -> dict[str, Any]:
    """The cells of an entry as a form takes them, with its day; a place by its path or the code of its label."""
    cells: dict[str, Any] = {**entry.cells, "on": on.isoformat(), **also}
    if "place" in cells:
        place = place_of(str(cells["place"]))
        cells["place"] = place.pk if place else ""
    return cells


def place_of(text: str, field: str = "place") -> Place | None:
    """The place that a text names; None for no text. Raises ValidationError."""
    if not text.strip():
        return None
    try:
        return place_scanned(text) or place_named(text)
    except ValueError as fault:
        raise refuse(field, str(fault)) from fault


def thing_of(entry: Entry) -> Item:
    """The thing that an entry is of. Raises ValidationError where none bears the tag, or it has left."""
    tag = tag_in(entry.cells.get("tag", ""))
    item = Item.objects.select_related("place").filter(tag=tag).first() if tag else None
    if item is None:
        raise refuse("tag", f"Nothing here has the tag {tag}." if tag else "Give the tag of the thing.")
    if item.gone_on:
        raise refuse("tag", f"{item.tag} left the collection on {item.gone_on}.")
    return item


def signed(by: Any) -> str:
    """How a person signs an entry."""
    return str(by.get_full_name() or by.get_username())
