"""Places with what lies in them and below, and the names that they had before."""

import re
from collections.abc import Container, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q

from inventory.holdings.models import Place

MERGED = "merged into "  # begins the reason of a place that went up in another; its path follows, cut at 100 letters
_CUT = 100
_MOST_STEPS = 30  # merges one after another


@dataclass(frozen=True, slots=True)
class PlaceCount:
    """A place in order of its path, how deep it lies, the things directly in it and those in it and below."""

    place: Place
    depth: int
    here: int
    within: int


def places_with_counts() -> list[PlaceCount]:
    """Every place in order of its path (one query)."""
    rows = list(Place.objects.annotate(things=Count("items", filter=Q(items__gone_on__isnull=True))).order_by("path"))
    within = {row.pk: row.things for row in rows}
    for row in sorted(rows, key=lambda row: -row.path.count(" / ")):
        if row.parent_id:
            within[row.parent_id] += within[row.pk]
    return [PlaceCount(row, row.path.count(" / "), row.things, within[row.pk]) for row in rows]


def children_with_counts(place: Place) -> list[PlaceCount]:
    """The places directly inside one (one query)."""
    below = [one for one in places_with_counts() if one.place.path.startswith(f"{place.path} / ")]
    return [one for one in below if one.place.parent_id == place.pk]


@dataclass(frozen=True, slots=True)
class FormerName:
    """What a place was called once: its path, code and name then, and the key of what it is now."""

    path: str
    code: str
    name: str
    now: int


@dataclass(frozen=True, slots=True)
class _Then:
    key: int
    path: str
    code: str
    name: str
    kind: str
    reason: str
    at: datetime


def former_names() -> list[FormerName]:
    """The names of places before they were called otherwise or went up in another, the latest first (two queries)."""
    then = _then()
    now = {key: (path, code, name) for key, path, code, name in Place.objects.values_list("pk", "path", "code", "name")}
    found: dict[tuple[str, str, str, int], None] = {}
    for one in then:
        key = _followed(one.key, now, then)
        if key and now[key] != (one.path, one.code, one.name):
            found[one.path, one.code, one.name, key] = None
    return [FormerName(*one) for one in found]


def place_now(key: int) -> Place | None:
    """The place of a key, also where it went up in another since: its label still leads there."""
    places = Place.objects.select_related("parent")
    found = places.filter(pk=key).first()
    if found is not None or not Place.history.filter(id=key, history_change_reason__startswith=MERGED).exists():
        return found
    return places.filter(pk=_followed(key, set(Place.objects.values_list("pk", flat=True)), _then()) or 0).first()


_OF_PLACE = re.compile(r"https?://[^\s/]+(?:/[^\s]*?)?/places/([0-9]{1,9})/?")


def place_scanned(text: str) -> Place | None:
    """The place whose label was scanned: its code holds the address of its page."""
    match = _OF_PLACE.fullmatch(text.replace("\x00", "").strip())
    return place_now(int(match[1])) if match else None


def _then() -> list[_Then]:
    """What every place was called, the latest first (one query)."""
    fields = ("id", "path", "code", "name", "history_type", "history_change_reason", "history_date")
    rows = Place.history.order_by("-history_date", "-history_id").values_list(*fields)
    return [_Then(pk, path, code, name, kind, reason or "", at) for pk, path, code, name, kind, reason, at in rows]


def _followed(key: int, here: Container[int], then: Iterable[_Then]) -> int | None:
    """The key of the place that another went up in, over however many steps; None where it was deleted."""
    for _ in range(_MOST_STEPS):
        if key in here:
            return key
        gone = next((one for one in then if one.key == key and one.kind == "-"), None)
        if gone is None or not gone.reason.startswith(MERGED):
            return None
        wanted, cut = gone.reason.removeprefix(MERGED), len(gone.reason) >= _CUT
        following = (
            one.key
            for one in then
            if one.at <= gone.at and one.key != key and (one.path.startswith(wanted) if cut else one.path == wanted)
        )
        key = next(following, 0)
    return None
