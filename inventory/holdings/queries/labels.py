"""What labels and box lists say: words of things and places, and the content of a box with its digest."""

import csv
import hashlib
import json
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.conf import settings
from django.db.models import Q, QuerySet, prefetch_related_objects

from inventory.holdings.models import BoxPrint, HazardMark, Item, Place, Tube
from inventory.holdings.queries.counts import with_whereabouts
from inventory.holdings.queries.doubts import NOTHING_SAID, SaidOf, with_words_of_items
from inventory.holdings.queries.facts import readings_told
from inventory.holdings.queries.hazard_grounds import HAZARD_FACTS, by_rule, grounds_beside
from inventory.holdings.rules.hazard_grounds import Ground
from inventory.holdings.rules.hazard_words import NOT_CHECKED
from inventory.holdings.rules.label_layout import LabelWords
from inventory.holdings.rules.labels import LabelSheet, read_sheets
from inventory.house.areas import thing_columns
from inventory.house.concerns import readings_of_many
from tubes.queries import Knowledge, knowledge
from tubes.rules.schemes import BY_KEY

Beside = Mapping[int, Sequence[Ground]]  # by key of a thing what higher areas know


@cache
def label_sheets() -> tuple[LabelSheet, ...]:
    """The label sheets of the reference table. Raises ValueError where the table is damaged."""
    with (settings.REFERENCE_DIR / "label_sheets.csv").open(encoding="utf-8-sig", newline="") as file:
        return read_sheets(csv.DictReader(file))


def things_here(items: QuerySet[Item]) -> QuerySet[Item]:
    """Things that have not left, with all that a label says of them (three queries in all)."""
    return items.filter(gone_on__isnull=True).select_related(*thing_columns()).prefetch_related("hazards", HAZARD_FACTS)


def things_tagged(tags: Sequence[str]) -> tuple[list[Item], list[str]]:
    """The things with these tags in that order, and the tags of which there is no thing here."""
    wanted = [tag.strip().upper() for tag in tags if tag.strip()]
    found = {item.tag.upper(): item for item in things_here(Item.objects.filter(tag__in={*wanted, *tags}))}
    return [found[tag] for tag in wanted if tag in found], [tag for tag in wanted if tag not in found]


def hazards_of(item: Item, beside: Iterable[Ground] = ()) -> tuple[str, ...]:
    """Hazard words of a thing: its own marks (what was looked for and not found is none), those that its words and
    figures raise and nobody settled, then those of its kind. Fetched before: its marks, ``HAZARD_FACTS``.

    ``beside``: what higher areas know of it (``grounds_beside``).
    """
    words = []
    for mark in item.hazards.all():
        if mark.standing != HazardMark.NONE_FOUND:
            text = mark.hazard if mark.hazard != "other" else (mark.reason or "hazard, see its page")
            words.append(text if mark.standing == HazardMark.CONFIRMED else f"{text}{NOT_CHECKED}")
    words += [f"{hazard}{NOT_CHECKED}" for hazard in dict.fromkeys(one.hazard for one in by_rule(item, beside))]
    words += item.row.cautions
    return tuple(dict.fromkeys(filter(None, map(str.strip, words))))


def equivalents(name: str, known: Knowledge) -> tuple[str, ...]:
    """Marks and names of the very same tube, service numbers first, leads left out."""
    same = known.kin.same_as(name)
    marks = [m for m in known.marks if m.type in same and m.relation == "same" and not m.unchecked]
    marks.sort(key=lambda m: BY_KEY[m.scheme].on_label)
    words = [m.designation for m in marks] + sorted(same)
    return tuple(word for word in dict.fromkeys(words) if word != name)


def labels_of(items: Iterable[Item], address: Callable[[Item], str]) -> list[LabelWords]:
    """The words of each thing's label (six queries, however many things, and what higher areas ask for readings).

    ``address`` gives that of its page. A test that a higher area knows of goes before a reading that came as a fact.
    """
    items = list(items)
    known = knowledge() if any(item.kind == Item.TUBE for item in items) else None
    elsewhere = _latest_places([item.pk for item in items if item.place is None])
    tubes = [item for item in items if item.kind == Item.TUBE]
    read = (readings_told([item.pk for item in tubes]) | readings_of_many(tubes)) if tubes else {}
    same: dict[str, tuple[str, ...]] = {}
    prefetch_related_objects(items, "hazards", HAZARD_FACTS)  # where they are not at hand
    beside = grounds_beside(items)
    labels = []
    for item in items:
        tube = item.kind == Item.TUBE
        name = item.row.label_name
        if known and tube and item.tube.type_id and name not in same:
            same[name] = equivalents(name, known)
        labels.append(
            LabelWords(
                tag=item.tag, name=name, same=same.get(name, ()) if tube else (), mark=item.row.label_mark,
                state=item.tube.state if tube else "", reading=read.get(item.pk, ""), readings=tube,
                hazards=hazards_of(item, beside.get(item.pk, ())),
                place=item.place.path if item.place else elsewhere.get(item.pk, ""), address=address(item),
            )
        )  # fmt: skip
    return labels


def _latest_places(keys: list[int]) -> dict[int, str]:
    """Where things without a place of the register went last, a set for example."""
    rows = with_whereabouts(Item.objects.filter(pk__in=keys)).order_by().values_list("pk", "whereabouts")
    return {key: path for key, path in rows if path}


def place_labels(places: Iterable[Place], address: Callable[[Place], str]) -> list[LabelWords]:
    """The words of each place's label."""
    return [
        LabelWords(tag=p.code, name=p.name, mark="", place=p.path if p.path != p.code else "", address=address(p))
        for p in places
    ]


# --- box lists --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class BoxLine:
    """Things of one name in a box.

    ``count`` in words, since a part lot may not be counted; ``said``: what is said of the good ones.
    """

    kind: str
    name: str
    count: str
    states: tuple[tuple[str, int], ...]
    tags: tuple[str, ...]
    hazards: tuple[str, ...]
    said: SaidOf = NOTHING_SAID

    @property
    def count_text(self) -> str:
        """How many, in which state: 2 good (1 of them in doubt, last test: gas); 4: 3 untested, 1 weak; 12 to 15."""
        said = f" ({self.said.told})" if self.said else ""
        states = ", ".join(f"{number} {state}{said if state == Tube.GOOD else ''}" for state, number in self.states)
        return states if len(self.states) == 1 else f"{self.count}: {states}" if states else self.count


@dataclass(frozen=True)
class BoxList:
    """What lies in a place and below it; ``parts``: (path below the place, its lines)."""

    place: Place
    parts: tuple[tuple[str, tuple[BoxLine, ...]], ...]
    things: int
    digest: str

    @property
    def hazards(self) -> tuple[str, ...]:
        """Every hazard word of the box, once."""
        words = [word for _path, lines in self.parts for line in lines for word in line.hazards]
        return tuple(dict.fromkeys(words))


def box_lists(places: Iterable[Place]) -> list[BoxList]:
    """The content of each of these places and all below it (as many queries for many places as for one)."""
    places = list(places)
    wanted = {place.path for place in places}
    inside: dict[str, list[Item]] = {path: [] for path in wanted}
    for item in things_here(_within(places)).order_by("tag"):
        steps = item.place.path.split(" / ") if item.place else []
        for depth in range(1, len(steps) + 1):
            if (path := " / ".join(steps[:depth])) in wanted:
                inside[path].append(item)
    everything = [item for items in inside.values() for item in items]
    with_words_of_items(everything)
    beside = grounds_beside(everything)
    return [_box_list(place, inside[place.path], beside) for place in places]


def _within(places: list[Place]) -> QuerySet[Item]:
    """Things in any of the places; above a few dozen places all things with a place are read instead."""
    rows = Item.objects.filter(place__isnull=False)
    if len(places) > 30:
        return rows
    here = Q(pk__in=[])
    for place in places:
        here |= Q(place__path=place.path) | Q(place__path__startswith=f"{place.path} / ")
    return rows.filter(here)


def _box_list(place: Place, items: list[Item], beside: Beside) -> BoxList:
    by_path: dict[str, dict[tuple[str, str], list[Item]]] = {}
    for item in items:
        below = item.place.path[len(place.path) :].removeprefix(" / ") if item.place else ""
        by_path.setdefault(below, {}).setdefault((item.get_kind_display(), item.row.label_name), []).append(item)
    parts = tuple((path, tuple(_line(key, by_path[path][key], beside) for key in sorted(by_path[path]))) for path in
                  sorted(by_path))  # fmt: skip
    return BoxList(place, parts, len(items), digest_of(parts))


def _line(key: tuple[str, str], items: list[Item], beside: Beside) -> BoxLine:
    kind, name = key
    parts = items[0].kind == Item.PARTS
    count = ", ".join(item.partlot.quantity_text for item in items) if parts else str(len(items))
    states = Counter(item.tube.state for item in items if item.kind == Item.TUBE)
    hazards = dict.fromkeys(word for item in items for word in hazards_of(item, beside.get(item.pk, ())))
    good = [item.tube.doubt for item in items if item.kind == Item.TUBE and item.tube.state == Tube.GOOD]
    kept = [item.claims for item in items if item.kind == Item.TUBE and item.tube.state == Tube.GOOD]
    said = SaidOf(tuple(doubt.word for doubt in good if doubt), tuple(claims[0].whose for claims in kept if claims))
    tags = tuple(item.tag for item in items)
    return BoxLine(kind, name, count, tuple(sorted(states.items())), tags, tuple(hazards), said)


def _plain(line: BoxLine) -> tuple[Any, ...]:
    shown = (line.kind, line.name, line.count, line.states, line.tags, line.hazards)
    return (*shown, line.said.told) if line.said else shown  # lists printed before tell of no such thing


def digest_of(parts: Sequence[tuple[str, Sequence[BoxLine]]]) -> str:
    """A digest of everything that a box list shows of its content."""
    plain = [(path, [_plain(line) for line in lines]) for path, lines in parts]
    return hashlib.sha256(json.dumps(plain, ensure_ascii=False).encode()).hexdigest()


@dataclass(frozen=True)
class StaleBox:
    """A place whose content is not what its printed list says."""

    box: BoxList
    printed_at: Any


def stale_boxes() -> list[StaleBox]:
    """Places whose list was printed and whose content is another now (a fixed number of queries)."""
    prints = list(BoxPrint.objects.select_related("place").order_by("place__path"))
    now = box_lists([row.place for row in prints])
    return [StaleBox(box, row.printed_at) for row, box in zip(prints, now, strict=True) if box.digest != row.digest]
