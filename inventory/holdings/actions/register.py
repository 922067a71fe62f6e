"""Changes of what is owned and where it is. One function a change: check, lock, write the row and its history."""

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from inventory.holdings.actions.locking import kept, locked, locked_all
from inventory.holdings.actions.open_counts import follow_path
from inventory.holdings.actions.together import check_carried_off, check_together
from inventory.holdings.models import Item, Movement, Place, TagSeries, Tube
from inventory.holdings.queries import tag_of
from inventory.house.areas import kinds
from inventory.house.concerns import held_by_many
from inventory.house.writing import AT_ONCE, person_or_none, refuse, write, write_alike

_TAG = re.compile(r"(?P<prefix>[A-Z]{1,4})-(?P<number>[0-9]{1,8})")
_TAG_SIGNS = re.compile(r"[A-Z0-9][A-Z0-9._-]{0,19}")  # a tag stands in addresses and in a label's code
EARLIEST = date(1900, 1, 1)


@transaction.atomic
def give_tags(prefix: str, count: int) -> list[str]:
    """The next ``count`` tags of a prefix. The series only grows, so no tag is ever given twice."""
    series, _ = TagSeries.objects.select_for_update().get_or_create(prefix=prefix)
    first = series.last + 1
    series.last += count
    series.save(update_fields=["last"])
    return [f"{prefix}-{number:04d}" for number in range(first, first + count)]


def _reserve(tag: str) -> str:
    """Take a tag that the keeper chose. Raises ValidationError when it was ever used, also by a thing long gone."""
    tag = tag.strip().upper()
    if not _TAG_SIGNS.fullmatch(tag):
        raise refuse("tag", f"{tag!r} is no tag; use up to 20 letters, figures, hyphens, points or underlines.")
    used = Item.objects.filter(tag__iexact=tag).first()
    if used:
        gone = f", which left on {used.gone_on}" if used.gone_on else ""
        raise refuse("tag", f"{tag} was given to a {used.get_kind_display()}{gone}; a tag is never used again.")
    if Item.history.filter(tag=tag).exists():
        raise refuse("tag", f"{tag} was given to a thing entered by mistake; a tag is never used again.")
    pass_tags([tag])
    return tag


@transaction.atomic
def pass_tags(tags: Iterable[str]) -> None:
    """Let the series go on behind tags that were chosen, so that none of them is given out again."""
    last: dict[str, int] = {}
    for match in filter(None, map(_TAG.fullmatch, tags)):
        last[match["prefix"]] = max(last.get(match["prefix"], 0), int(match["number"]))
    for prefix, number in sorted(last.items()):
        series, _ = TagSeries.objects.select_for_update().get_or_create(prefix=prefix)
        if number > series.last:
            series.last = number
            series.save(update_fields=["last"])


def free_tags(tags: Iterable[str]) -> set[str]:
    """Those of some tags (in capitals) that can stand on a thing and were never used (two queries)."""
    wanted = {tag for tag in tags if _TAG_SIGNS.fullmatch(tag)}
    used = set(Item.objects.filter(tag__in=wanted).values_list("tag", flat=True))
    return wanted - used - set(Item.history.filter(tag__in=wanted).values_list("tag", flat=True))


def check_day(on: date | None, field: str = "on", today: date | None = None) -> None:
    """Refuse no day, one that has not come yet, or one before there was any radio. ``today`` None: this machine's."""
    if on is None:
        raise refuse(field, "Give the day.")
    if on > (today or timezone.localdate()):
        raise refuse(field, f"{on} has not come yet.")
    if on < EARLIEST:
        raise refuse(field, f"{on} is too long ago; give the year in four figures.")


def check_moment(on: date | None, at: time | None, field: str = "at", now: datetime | None = None) -> None:
    """Refuse a time of day on today's date that has not come yet; days are for ``check_day``.

    Today and the time are those of the current time zone. ``now`` None: this machine's clock; one without a zone is
    taken as it stands. No day or no time: nothing to refuse.
    """
    local = now if now and timezone.is_naive(now) else timezone.localtime(now)
    if on == local.date() and at is not None and at.replace(tzinfo=None) > local.time():
        raise refuse(field, f"{at:%H:%M} has not come yet today; it is {local:%H:%M}.")


@transaction.atomic
def register(kind: str, *, by: Any, on: date, place: Place | None = None, tag: str = "") -> Item:
    """A new thing in the register, with a tag of its own choice or the next of its kind, and its first move."""
    (item,) = _enter(kind, 1, by=by, on=on, place=place, tag=tag)
    return item


def _enter(kind: str, count: int, *, by: Any, on: date, place: Place | None, tag: str) -> list[Item]:
    """New things alike; a bounded number of queries, however many."""
    tags = [_reserve(tag)] if tag.strip() else _next_free(kinds()[kind].letters, count)
    seen = on if place else None
    items = write_alike([Item(tag=one, kind=kind, place=place, seen_on=seen) for one in tags], by=by)
    if place:
        first: dict[str, Any] = {"to_path": place.path, "on": on, "by": person_or_none(by), "reason": "first entry"}
        Movement.objects.bulk_create([Movement(item=item, **first) for item in items], batch_size=AT_ONCE)
    return items


def _next_free(prefix: str, count: int) -> list[str]:
    tags = give_tags(prefix, count)
    while taken := set(Item.objects.filter(tag__in=tags).values_list("tag", flat=True)):
        tags = [tag for tag in tags if tag not in taken] + give_tags(prefix, len(taken))
    return tags


@transaction.atomic
def add_tubes(
    tube: Tube, *, by: Any, on: date, place: Place | None = None, tag: str = "", count: int = 1, reason: str = ""
) -> list[Tube]:
    """Add ``count`` tubes alike, each with a tag and a history of its own; a bounded number of queries.

    ``reason``: what their history says of why they are there. Raises ValidationError for a tag with several tubes.
    """
    if not 1 <= count <= 500:
        raise refuse("count", f"{count} tubes at once; give a number from 1 to 500.")
    if count > 1 and tag.strip():
        raise refuse("tag", "One tag cannot serve several tubes; leave it empty and they get the next ones.")
    items = _enter(Item.TUBE, count, by=by, on=on, place=place, tag=tag)
    values = {f.name: getattr(tube, f.name) for f in Tube._meta.concrete_fields if f.name != "item"}
    return write_alike([Tube(item=item, **values) for item in items], by=by, reason=reason)


@transaction.atomic
def change_tube(tube: Tube, *, by: Any, reason: str = "") -> Tube:
    """Write a changed tube; before and after stay in its history."""
    return write(tube, by=by, reason=reason)


def check_not_inside_itself(place: Place) -> None:
    """Refuse a place that stands, over however many steps, inside itself."""
    above = place.parent
    while above is not None:
        if above.pk == place.pk and place.pk is not None:
            raise refuse("parent", "A place cannot lie inside itself.")
        above = above.parent


@transaction.atomic
def save_place(place: Place, *, by: Any, reason: str = "") -> Place:
    """Write a place, its path, and the paths of everything below it. Refuses a place inside itself."""
    place.code = place.code.strip()
    if not place.code or "/" in place.code:
        raise refuse("code", f"{place.code!r} is no place code; give letters and figures without a slash.")
    if (place.pk is None or not Place.objects.filter(pk=place.pk, code=place.code).exists()) and (
        thing := tag_of(place.code)
    ):
        told = f"{thing.tag} is the tag of a {thing.get_kind_display()}; give the place another code."
        raise refuse("code", told)
    check_not_inside_itself(place)
    place.path = f"{place.parent.path} / {place.code}" if place.parent else place.code
    twin = Place.objects.filter(path__iexact=place.path).exclude(pk=place.pk).first()
    if twin:
        raise refuse("code", f"There is a place {twin.path} already.")
    was = Place.objects.filter(pk=place.pk).values_list("path", flat=True).first() if place.pk else None
    write(place, by=by, reason=reason)
    if was is not None and was != place.path:
        follow_path(was, place.path)
    for child in place.children.all():
        child.parent = place
        save_place(child, by=by)
    return place


@transaction.atomic
def move(items: Iterable[Item], place: Place | None, *, on: date, by: Any, reason: str = "", apart: str = "") -> int:
    """Move things; the register keeps where each was. A move dated before a later one is filed without undoing that.

    ``apart``: why they go without what belongs with them; refused where that is asked and not said, and where they go
    out of their room while something counts on them and no reason is given. Returns the number of things that moved.
    """
    check_day(on)
    moved = 0
    rows = locked_all(items)
    check_together(rows, apart, "apart")
    check_carried_off(rows, place.path if place else "", reason or apart)
    barred = kept_in_place(rows)
    for item in rows:
        if item.pk in barred:
            raise refuse("place", barred[item.pk])
        shift(item, place.path if place else "", place, on=on, by=by, reason=reason)
        moved += 1
    return moved


def kept_in_place(items: Sequence[Item]) -> dict[int, str]:
    """Why things cannot be moved, each for itself, by key: they left, are lent, are in a set."""
    told = {item.pk: f"{item.tag} is lent to {item.lent_to}; take it back first." for item in items if item.lent_to}
    told |= {item.pk: f"{item.tag} left the collection on {item.gone_on}." for item in items if item.gone_on}
    tags = {item.pk: item.tag for item in items if item.pk not in told}
    held = held_by_many([item for item in items if item.pk in tags])
    return told | {key: f"{tags[key]} cannot be moved: {'; '.join(words)}." for key, words in held.items()}


def shift(
    item: Item, to_path: str, place: Place | None, *, on: date, by: Any, reason: str, lasting: bool = False
) -> None:
    """File one move, and let the item's place be that of the latest one by date; of one day the later entry counts.

    ``lasting``: it is there now, in a set for example, whatever was filed of days after it. Once it comes out again,
    the latest move by date counts again, be it filed before: a first entry says where a thing is on that day.
    """
    last = item.movements.order_by("-on", "-id").first()
    earlier = item.movements.filter(on__lte=on).order_by("-on", "-id").first()
    # Before everything on record, where it came from is not known, unless nothing is on record at all.
    unknown = item.place.path if item.place and last is None else ""
    from_path = earlier.to_path if earlier is not None else unknown
    Movement.objects.create(
        item=item, from_path=from_path, to_path=to_path, on=on, by=person_or_none(by), reason=reason
    )
    following = item.movements.filter(on__gt=on).order_by("on", "id").first()
    if following is not None and not lasting and not first_entry(following):
        following.from_path = to_path  # a late entry: the next move did not start where it says any more
        following.save(update_fields=["from_path"])
    back = place_then(last) if last is not None and last.on > on and item.place is None and not lasting else None
    if back is not None:  # a set held it until now; before that a later move than this one was filed
        item.place = back
        write(item, by=by, reason=reason or "moved")
    elif lasting or last is None or last.on <= on:
        item.place = place
        saw(item, on)
        if lasting:  # it is there now, whatever day it went
            item.missed_on = None
        write(item, by=by, reason=reason or "moved")


def first_entry(move: Movement) -> bool:
    """Whether a thing was entered with it: where it came from is not known, whatever is filed of days before."""
    before = Q(entered_at__lt=move.entered_at) | Q(entered_at=move.entered_at, pk__lt=move.pk)
    if move.from_path or move.item.movements.filter(before).exists():
        return False
    entered = move.item.history.order_by("history_id").first()
    return entered is not None and entered.place_id is not None


def place_then(move: Movement) -> Place | None:
    """The place that a move led to, also where its path is another since; None where it led to none."""
    named = Place.history.filter(path=move.to_path, history_date__lte=move.entered_at).order_by("-history_date").first()
    known = Place.objects.filter(pk=named.id).first() if named else None
    return known or Place.objects.filter(path=move.to_path).first()


def saw(item: Item, on: date) -> bool:
    """Let a thing (not written here) be seen on a day: an older day never overwrites a later one. Whether it changed.

    What a stock-take did not find before that day, or on it, is found.
    """
    before = item.seen_on, item.missed_on
    if item.seen_on is None or item.seen_on < on:
        item.seen_on = on
    if item.missed_on is not None and item.missed_on <= on:
        item.missed_on = None
    return (item.seen_on, item.missed_on) != before


@transaction.atomic
def leave_place(item: Item, whereto: str, *, on: date, by: Any) -> None:
    """File that a thing went where no place of the register is, into a set for example, and is there now."""
    fresh = locked(item)
    shift(fresh, whereto[:200], None, on=on, by=by, reason="", lasting=True)
    kept(fresh, item)
