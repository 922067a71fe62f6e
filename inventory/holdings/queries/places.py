"""Places with what lies in them and below, and the names that they had before."""

import re
from collections import defaultdict
from collections.abc import Container, Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Q

from inventory.holdings.models import Place

MERGED = "merged into "  # begins the reason of a place that went up in another; its path follows
_LONGEST = 100  # letters of a reason
_CUT = "…"  # stands for the beginning of a path that is too long: its end tells it from the places inside it
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


def merged_into(path: str) -> str:
    """The reason of a place that went up in the one of that path."""
    room = _LONGEST - len(MERGED)
    return MERGED + (path if len(path) <= room else _CUT + path[1 - room :])


def former_names() -> list[FormerName]:
    """The names of places before they were called otherwise or went up in another, the latest first (two queries)."""
    then = _then()
    now = {key: (path, code, name) for key, path, code, name in Place.objects.values_list("pk", "path", "code", "name")}
    past = _Past(then, now)
    found: dict[tuple[str, str, str, int], None] = {}
    for one in then:
        key = past.followed(one.key)
        if key and now[key] != (one.path, one.code, one.name):
            found[one.path, one.code, one.name, key] = None
    return [FormerName(*one) for one in found]


def place_now(key: int) -> Place | None:
    """The place of a key, also where it went up in another since: its label still leads there."""
    places = Place.objects.select_related("parent")
    found = places.filter(pk=key).first()
    if found is not None or not Place.history.filter(id=key, history_change_reason__startswith=MERGED).exists():
        return found
    return places.filter(pk=_Past(_then(), set(Place.objects.values_list("pk", flat=True))).followed(key) or 0).first()


def took_others_in(place: Place) -> bool:
    """Whether another place went up in this one, so that its name leads here."""
    return Place.history.filter(history_type="-", history_change_reason=merged_into(place.path)).exists()


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


class _Past:
    """What became of places that are gone, each followed once."""

    def __init__(self, then: Iterable[_Then], here: Container[int]) -> None:
        self.here = here
        self.gone: dict[int, _Then] = {}
        self.by_path: dict[str, list[_Then]] = defaultdict(list)  # the latest first
        self.known: dict[int, int | None] = {}
        for one in then:
            self.by_path[one.path].append(one)
            if one.kind == "-":
                self.gone.setdefault(one.key, one)

    def followed(self, key: int) -> int | None:
        """The key of the place that another went up in, over however many steps; None where it was deleted."""
        if key not in self.known:
            self.known[key] = self._end(key)
        return self.known[key]

    def _end(self, key: int) -> int | None:
        for _ in range(_MOST_STEPS):
            if key in self.here:
                return key
            gone = self.gone.get(key)
            if gone is None or not gone.reason.startswith(MERGED):
                return None
            following = (one.key for one in self._named(gone.reason) if one.at <= gone.at and one.key != key)
            key = next(following, 0)
        return None

    def _named(self, reason: str) -> list[_Then]:
        """The records of the path that a reason names; none where several long paths end so."""
        path = reason.removeprefix(MERGED)
        if not path.startswith(_CUT):
            return self.by_path.get(path, [])
        ending = [one for one in self.by_path if one.endswith(path.removeprefix(_CUT))]
        return self.by_path[ending[0]] if len(ending) == 1 else []
