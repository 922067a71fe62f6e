"""Ways from a number to the list that holds just so many rows."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from django.urls import reverse
from django.utils.http import urlencode

from inventory.figures.rules.parts import Where
from inventory.house.areas import areas, kinds
from inventory.house.lists_out import ListOut


@dataclass(frozen=True, slots=True)
class Lead:
    """So many things of a kind, in words, and the address of the list of just these; empty where no page lists them."""

    words: str
    count: int
    address: str

    def as_dict(self) -> dict[str, object]:
        return {"words": self.words, "count": self.count, "list": self.address or None}


def tubes_where(where: Where) -> str:
    """The address of the tubes here that are narrowed so."""
    return _address("holdings:tube-list", where)


def good_of(name: str) -> str:
    """The address of the good tubes of a type on the shelf."""
    return tubes_where((("only", f"type:{name}"), ("state", "good"), ("fitted", "no"), ("owner", "ours")))


def places_inside(place: int) -> str:
    """The address of the figures of what lies inside a place."""
    return f"{reverse('figures:figures')}?{urlencode({'within': place})}#place"


def list_of_tests(year: int) -> str:
    """The address of the tests of a year."""
    return _address("running:test-list", (("since", f"{year}-01-01"), ("until", f"{year}-12-31")))


def leads(some: Iterable[tuple[str, int]], *where: tuple[str, str]) -> tuple[Lead, ...]:
    """Things by kind: in words, with the list of each kind narrowed so; kinds in their order."""
    counts = dict(some)
    told = []
    for key, kind in kinds().items():
        if count := counts.get(key, 0):
            one = _lists().get(key)
            words = kind.words if count == 1 else one.title.lower() if one else f"{kind.words}s"
            told.append(Lead(f"{count:,} {words}", count, _address(one.page, where) if one else ""))
    return tuple(told)


@cache
def _lists() -> dict[str, ListOut]:
    """By kind of thing the list that has a page for it."""
    of = {one.model.rpartition(".")[2]: one for area in areas().values() for one in area.lists if one.page}
    return {key: of[kind.row] for key, kind in kinds().items() if kind.row in of}


def _address(page: str, where: Where) -> str:
    return f"{reverse(page)}?{urlencode(where)}" if where else reverse(page)
