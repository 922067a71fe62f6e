"""Two names of one place become one, and a place in which nothing lies leaves the register."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError
from simple_history.utils import bulk_update_with_history

from inventory.holdings.actions.counts import BATCH, NAMED
from inventory.holdings.actions.locking import for_change
from inventory.holdings.actions.open_counts import follow_path, keep_what_it_was_of
from inventory.holdings.actions.register import check_day, save_place
from inventory.holdings.actions.together import check_carried_off
from inventory.holdings.models import Item, Movement, Place, StockTake
from inventory.holdings.queries import items_in
from inventory.holdings.queries.places import MERGED, merged_into
from inventory.house.concerns import held_by_many
from inventory.house.writing import person_or_none, refuse, remove, write

LONGEST_NOTE = 300


@transaction.atomic
def merge_places(place: Place, into: Place, *, on: date, by: Any, reason: str = "") -> int:
    """Let a place go up in another: everything in it and below lies there now, and its old name still leads there.

    A place inside it goes along; where the other has one of the same code, the two become one as well. Each thing gets
    a move of its own. Nobody opened a box, so nothing counts as seen. Returns the number of things that moved. Raises
    ValidationError for a place within itself, one that goes up in the place around it and holds another of its own
    name, things that are held, a day before one came, notes that do not fit.
    """
    check_day(on)
    rows = Place.objects.select_for_update(of=("self",), no_key=True).select_related("parent").order_by("pk")
    both = {row.pk: row for row in rows.filter(pk__in=(place.pk, into.pk))}
    if place.pk not in both or into.pk not in both:
        raise refuse("into", "One of the two is not there any more; look again.")
    place, into = both[place.pk], both[into.pk]
    if place.pk == into.pk:
        raise refuse("into", "It is that place.")
    if into.path.startswith(f"{place.path} / "):
        raise refuse("into", f"{into.path} lies inside {place.path}; move it out first.")
    if place.parent_id == into.pk and place.children.filter(code__iexact=place.code).exists():
        text = f"{place.path} / {place.code} bears the name of the place that goes up; rename one of them."
        raise refuse("into", text)
    here = sorted(for_change(items_in(place)), key=lambda item: item.tag)
    _check_movable(here, on)
    check_carried_off(here, into.path, reason)
    before = {item.pk: item.place.path for item in here if item.place}
    name = place.path
    _merge(place, into, by=by)
    now = dict(Item.objects.filter(pk__in=[item.pk for item in here]).values_list("pk", "place__path"))
    told = reason or f"merged: {name} is {into.path}"[:200]
    moves = [
        Movement(item_id=key, from_path=path, to_path=now[key], on=on, by=person_or_none(by), reason=told)
        for key, path in before.items()
    ]
    Movement.objects.bulk_create(moves, batch_size=BATCH)
    return len(moves)


def _check_movable(here: list[Item], on: date) -> None:
    if held := held_by_many(here):
        tags = {item.pk: item.tag for item in here}
        told = [f"{tags[key]}: {'; '.join(texts)}" for key, texts in list(held.items())[:NAMED]]
        raise refuse("into", f"It cannot be merged with what is in it: {'; '.join(told)}.")
    later = Movement.objects.filter(item__in=here, on__gt=on).select_related("item").order_by("-on").first()
    if later:
        raise refuse("on", f"{later.item.tag} came here on {later.on}, after that day; give {later.on} or later.")


def _merge(place: Place, into: Place, *, by: Any) -> None:
    reason = merged_into(into.path)
    for child in place.children.order_by("pk"):
        twin = into.children.filter(code__iexact=child.code).first()
        if twin is not None:
            _merge(child, twin, by=by)
        else:
            child.parent = into
            save_place(child, by=by, reason=f"{place.path} {reason}"[:100])
    items = list(Item.objects.filter(place=place).order_by("pk"))
    for item in items:
        item.place = into
    if items:
        person = person_or_none(by)
        bulk_update_with_history(
            items, Item, ["place"], batch_size=BATCH, default_user=person, default_change_reason=reason
        )
    follow_path(place.path, into.path)
    for row, field in _named_by(place):
        setattr(row, field, into)
        if isinstance(row, StockTake) and row.closed:
            keep_what_it_was_of(row, place.path)
        if hasattr(row, "history"):
            write(row, by=by, reason=reason)
        else:
            row.save()
    if place.note and place.note not in into.note:
        note = "; ".join(filter(None, (into.note, place.note)))
        if len(note) > LONGEST_NOTE:
            raise refuse("into", f"The note of {place.path} does not fit beside that of {into.path}; shorten one.")
        into.note = note
        write(into, by=by, reason=f"note of {place.path}, {MERGED}it"[:100])
    remove(place, by=by, reason=reason)


def _named_by(place: Place) -> Iterator[tuple[Any, str]]:
    """(row, field) of what names a place besides things, other places and what was printed of it."""
    for relation in Place._meta.related_objects:
        other: Any = relation.related_model
        if other not in (Item, Place) and not relation.one_to_one:
            for row in other._base_manager.filter(**{relation.field.name: place.pk}):
                yield row, relation.field.name


@transaction.atomic
def remove_place(place: Place, *, by: Any, reason: str = "") -> str:
    """Take a place out of the register in which nothing lies. Returns its path; its history stays.

    Raises ValidationError while a thing or another place is in it, or something names it.
    """
    fresh = Place.objects.select_for_update(of=("self",)).filter(pk=place.pk).first()
    if fresh is None:
        raise refuse("__all__", "It is not there any more.")
    count = items_in(fresh).count()
    if count:
        tags = ", ".join(items_in(fresh).values_list("tag", flat=True)[:NAMED])
        more = f" and {count - NAMED} more" if count > NAMED else ""
        raise refuse("__all__", f"Here or below lie {tags}{more}: move them first, or merge it into another place.")
    inside = list(fresh.children.values_list("path", flat=True)[: NAMED + 1])
    if inside:
        more = " and more" if len(inside) > NAMED else ""
        raise refuse("__all__", f"Inside are {', '.join(inside[:NAMED])}{more}: delete or move them first.")
    try:
        remove(fresh, by=by, reason=reason or "deleted, empty")
    except ProtectedError as fault:
        names = {str(one._meta.verbose_name) for one in fault.protected_objects}
        told = f"It is named by a {', a '.join(sorted(names))}: merge it into another place instead."
        raise refuse("__all__", told) from fault
    return fresh.path
