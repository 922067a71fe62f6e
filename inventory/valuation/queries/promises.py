"""To whom things are promised, and who can be asked about them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from django.db.models import QuerySet

from inventory.holdings.models import Item
from inventory.house.areas import Panel, thing_columns
from inventory.valuation.models import Contact, LotThing, Promise, SaleLot
from inventory.valuation.queries.worth_line import worth_line


def open_promises() -> QuerySet[Promise]:
    """Promises that hold, of things that are here, each with its thing named (one query)."""
    rows = Promise.objects.filter(struck="", item__gone_on__isnull=True)
    return rows.select_related("item", *thing_columns("item__"))


def promised_words(items: Sequence[Item]) -> dict[int, list[str]]:
    """By key of a thing to whom it is promised, and in which lot it is offered (two queries)."""
    keys = [item.pk for item in items]
    found: dict[int, list[str]] = defaultdict(list)
    for row in Promise.objects.filter(struck="", item__in=keys):
        found[row.item_id].append(f"promised to {row.to} since {row.since}")
    offered = LotThing.objects.filter(lot__state=SaleLot.OFFERED, lot__struck="", item__in=keys)
    for thing in offered.select_related("lot__sale"):
        found[thing.item_id].append(f"offered as {thing.lot}")
    return dict(found)


@dataclass(frozen=True)
class Askable:
    """Everybody who can be asked, by what they know."""

    contacts: tuple[Contact, ...]
    of_item: dict[int, list[Contact]] = field(default_factory=dict)
    of_kind: dict[str, list[Contact]] = field(default_factory=dict)
    of_place: dict[str, list[Contact]] = field(default_factory=dict)

    @property
    def everything(self) -> list[Contact]:
        """Who can be asked about all of it."""
        return [one for one in self.contacts if not (one.item_id or one.place_id or one.kind)]

    def about(self, key: int, kind: str, place: str) -> list[Contact]:
        """Who knows just this: the thing itself, its place or one above it, its kind. Who knows all is not among."""
        steps = place.split(" / ") if place else []
        paths = [" / ".join(steps[:depth]) for depth in range(len(steps), 0, -1)]
        found = [*self.of_item.get(key, ()), *(one for path in paths for one in self.of_place.get(path, ()))]
        return [*found, *self.of_kind.get(kind, ())]


def askable() -> Askable:
    """Who can be asked (one query)."""
    rows = tuple(Contact.objects.filter(struck="").select_related("place", "item").order_by("name", "pk"))
    found = Askable(rows)
    for one in rows:
        if one.item_id:
            found.of_item.setdefault(one.item_id, []).append(one)
        elif one.place:
            found.of_place.setdefault(one.place.path, []).append(one)
        elif one.kind:
            found.of_kind.setdefault(one.kind, []).append(one)
    return found


def people_told() -> list[tuple[str, str, str]]:
    """Who can be asked, how, and about what (one query)."""
    return [(one.name, one.reach, ": ".join(filter(None, (one.about, one.knows)))) for one in askable().contacts]


def of_thing(item: Item) -> Panel:
    """What is told on the page of a thing: what it is worth, to whom it is promised (a fixed number of queries).

    Both are asked for when they are shown: visitors are told whom to ask alone.
    """
    contacts = list(Contact.objects.filter(struck="", item=item))
    told: dict[str, Any] = {
        "contacts": contacts, "worth": partial(worth_line, item),
        "promise": Promise.objects.filter(struck="", item=item).first,
    }  # fmt: skip
    return Panel(
        "Worth, promised, and whom to ask", "valuation/thing_panel.html", item, told=told,
        for_visitors="Whom to ask" if contacts else "",
    )  # fmt: skip


def promised_by_tag(tags: Iterable[str]) -> dict[str, Promise]:
    """By tag the promises that hold, of some things (one query)."""
    wanted = set(tags)
    rows = Promise.objects.filter(struck="").select_related("item")
    return {row.item.tag: row for row in rows if row.item.tag in wanted}
