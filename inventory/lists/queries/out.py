"""The lists that can be taken out: for each its columns, and where each cell comes from.

A list is a queryset cut into plain values, so a list of any length is read as it is written. ``here`` gives the rows
that the list's page starts from; ``every`` also those that have left.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery

from inventory.holdings.models import Fact, HazardMark, Movement, Paper, PartLot, Place, Tube, Want
from inventory.holdings.queries import FACT_COLUMNS, fact_cells, open_wants, part_lots, tubes_here
from inventory.holdings.rules.fact_words import plain_number
from inventory.lists.queries.order import by_code_points
from inventory.lists.rules.spreadsheet_cells import Cell, cell
from inventory.pairing.models import Companion, CompanionCheck, Disturbance, Neutralization, OnAirRecord
from inventory.pairing.queries import PairRow
from inventory.sets.models import Chassis, Fitting, PlugInUnit, Position, Seating, SetModel, UnitModel
from inventory.sets.queries import chassis_here, open_fittings, units_here
from tubes.models import TubeType
from tubes.queries import mark_lists

AT_ONCE = 2000  # rows fetched at a time

GONE = (("Left on", "item__gone_on"), ("How it left", "item__gone_how"))
WHERE = (
    ("Place", "item__place__path"),
    ("Lent to", "item__lent_to"),
    ("Last seen", "item__seen_on"),
    ("Not found on", "item__missed_on"),
)
PLATE = (("Serial", "serial"), ("Plate", "serial_reading"))
EVENT = (("By whom", "by_whom"), ("Note", "note"), ("Struck out because", "struck"))
PAIR = (
    ("Chassis", "chassis__item__tag"),
    ("Set model", "chassis__model__name"),
    ("Serial", "chassis__serial"),
    ("Unit", "unit__item__tag"),
    ("Unit model", "unit__model__name"),
    ("Serial of the unit", "unit__serial"),
)


@dataclass(frozen=True)
class ListOut:
    """A list: its name in addresses, its title, who may see it, its columns (heading, path) and its rows."""

    name: str
    title: str
    model: str
    columns: tuple[tuple[str, str], ...]
    here: Callable[[], QuerySet[Any]]
    every: Callable[[], QuerySet[Any]]
    words: tuple[str, ...] = ()  # what ``every`` is ordered by; empty: it is in an order of its own

    @property
    def headings(self) -> list[str]:
        return [heading for heading, _ in self.columns]

    def all_rows(self) -> Iterator[list[Cell]]:
        """The cells of every row, in an order that is the same on every database."""
        rows = self.every()
        return self.rows(rows.order_by(*by_code_points(*self.words), "pk") if self.words else rows)

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Cell]]:
        """The cells of each row."""
        paths = [path for _, path in self.columns]
        for values in found.values_list(*paths).iterator(chunk_size=AT_ONCE):
            yield [cell(value) for value in values]


@dataclass(frozen=True)
class ThingList(ListOut):
    """A list of things: behind their own columns stand the facts that came with lists or were entered."""

    @property
    def headings(self) -> list[str]:
        return [*super().headings, *(heading for heading, _ in FACT_COLUMNS)]

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Cell]]:
        paths = [path for _, path in self.columns]
        things = iter(found.values_list("item_id", *paths).iterator(chunk_size=AT_ONCE))
        none = [""] * len(FACT_COLUMNS)
        while chunk := list(islice(things, AT_ONCE)):
            facts = fact_cells([key for key, *_ in chunk])
            for key, *values in chunk:
                yield [cell(value) for value in (*values, *facts.get(key, none))]


@dataclass(frozen=True)
class FactList(ListOut):
    """Every fact on a line of its own, with what it was read as."""

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Cell]]:
        for fact in found.select_related("item", "by").iterator(chunk_size=AT_ONCE):
            amount = "" if fact.value is None else plain_number(fact.value)
            of = (fact.get_per_display(), fact.of_count, fact.first, fact.last, fact.precision, fact.estimated)
            row = (fact.item.tag, fact.get_about_display(), fact.text, fact.figure, amount, fact.unit, fact.instrument,
                   fact.currency, *of, fact.from_list, fact.column, fact.entered_at, fact.by, fact.struck)  # fmt: skip
            yield [cell(value) for value in row]


@dataclass(frozen=True)
class TypeList(ListOut):
    """The list of types: its marks come from many rows."""

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Cell]]:
        kinds = iter(found.iterator(chunk_size=AT_ONCE))
        while chunk := list(islice(kinds, AT_ONCE)):
            for row, kind, marks in mark_lists(chunk):
                yield [cell(value) for value in (row.name, kind, marks, row.hazard, row.origin)]


def _fitted(rows: QuerySet[Tube]) -> QuerySet[Tube]:
    now = open_fittings().filter(tube=OuterRef("pk"))
    return rows.annotate(
        in_chassis=Subquery(now.values("chassis__item__tag")[:1]),
        in_position=Subquery(now.values("position__mark")[:1]),
    )


def _seated(rows: QuerySet[PlugInUnit]) -> QuerySet[PlugInUnit]:
    now = Seating.objects.filter(unit=OuterRef("pk"), until__isnull=True)
    return rows.annotate(
        in_chassis=Subquery(now.values("chassis__item__tag")[:1]),
        in_bay=Subquery(now.values("bay__mark")[:1]),
    )


def _places() -> QuerySet[Place]:
    return Place.objects.annotate(things=Count("items", filter=Q(items__gone_on__isnull=True))).order_by("path")


def _types() -> QuerySet[TubeType]:
    return TubeType.objects.order_by("name")


def _owned_types() -> QuerySet[TubeType]:
    return _types().filter(Q(origin="keeper") | Q(tubes__isnull=False) | Q(positions__isnull=False)).distinct()


def _both(make: Callable[[], QuerySet[Any]]) -> Any:
    return {"here": make, "every": make}


TUBES = ThingList(
    "tubes", "Tubes", "holdings.tube",
    (
        ("Tag", "item__tag"), ("Type", "type__name"), ("Marked", "marked"), ("Maker", "maker"),
        ("Date code", "date_code"), ("State", "state"), WHERE[0], ("In chassis", "in_chassis"),
        ("Position", "in_position"), *WHERE[1:], ("Condition", "condition"), ("Acquired on", "acquired_on"),
        ("Acquired how", "acquired_how"), ("Acquired from", "acquired_from"), ("Note", "note"), *GONE,
    ),
    lambda: _fitted(tubes_here()).order_by("item_id"), lambda: _fitted(Tube.objects.all()), ("item__tag",),
)  # fmt: skip
CHASSIS = ThingList(
    "chassis", "Chassis", "sets.chassis",
    (("Tag", "item__tag"), ("Set model", "model__name"), *PLATE, *WHERE, ("Note", "note"), *GONE),
    chassis_here, Chassis.objects.all, ("model__name", "serial", "item__tag"),
)  # fmt: skip
UNITS = ThingList(
    "units", "Plug-in units", "sets.pluginunit",
    (
        ("Tag", "item__tag"), ("Unit model", "model__name"), *PLATE, ("Covers from, kc", "model__low_kc"),
        ("Covers to, kc", "model__high_kc"), WHERE[0], ("In chassis", "in_chassis"), ("Bay", "in_bay"), *WHERE[1:],
        ("Note", "note"), *GONE,
    ),
    lambda: _seated(units_here()), lambda: _seated(PlugInUnit.objects.all()),
    ("model__name", "serial", "item__tag"),
)  # fmt: skip
PARTS = ThingList(
    "parts", "Part lots", "holdings.partlot",
    (
        ("Tag", "item__tag"), ("What", "name"), ("Value or type", "value"), ("Maker", "maker"), ("At least", "least"),
        ("At most", "most"), ("Duds", "duds"), ("To count", "to_count"), *WHERE, ("Condition", "condition"),
        ("Note", "note"), *GONE,
    ),
    part_lots, PartLot.objects.all, ("name", "value", "item__tag"),
)  # fmt: skip
COMPANIONS = ThingList(
    "companions", "Companions", "pairing.companion",
    (
        ("Tag", "item__tag"), ("What", "kind__name"), ("Set model", "kind__set_model__name"), *PLATE,
        ("Belongs to serial", "mate_serial"), ("That number", "mate_reading"), ("Kept with", "kept_with__item__tag"),
        *WHERE, ("Note", "note"), *GONE,
    ),
    lambda: Companion.objects.filter(item__gone_on__isnull=True), Companion.objects.all,
    ("kind__name", "mate_serial", "item__tag"),
)  # fmt: skip
TYPES = TypeList(
    "types", "Tube types", "tubes.tubetype",
    (("Type", ""), ("Kind", ""), ("Marks", ""), ("Hazard", ""), ("Rows of", "")), _types, _owned_types, ("name",),
)  # fmt: skip
PLACES = ListOut(
    "places", "Places", "holdings.place",
    (("Path", "path"), ("Code", "code"), ("Name", "name"), ("Things directly in it", "things"), ("Note", "note")),
    **_both(_places), words=("path",),
)  # fmt: skip
MOVEMENTS = ListOut(
    "movements", "Moves", "holdings.movement",
    (
        ("Date", "on"), ("Tag", "item__tag"), ("From", "from_path"), ("To", "to_path"), ("By", "by__username"),
        ("Why", "reason"),
    ),
    **_both(lambda: Movement.objects.order_by("-on", "-pk")),
)  # fmt: skip
SET_MODELS = ListOut(
    "set-models", "Set models", "sets.setmodel",
    (
        ("Set model", "name"), ("Kind", "kind"), ("Neutralizing capacitor", "neutralizing"), ("Caution", "caution"),
        ("Note", "note"),
    ),
    **_both(SetModel.objects.all), words=("name",),
)  # fmt: skip
POSITIONS = ListOut(
    "positions", "Positions of set models", "sets.position",
    (
        ("Set model", "set_model__name"), ("Position", "mark"), ("Wants", "type__name"), ("Role", "role"),
        ("Neutralized", "neutralized"), ("Heaters in series", "heater_branch"),
    ),
    **_both(lambda: Position.objects.order_by("set_model__name", "pk")), words=("set_model__name",),
)  # fmt: skip
UNIT_MODELS = ListOut(
    "unit-models", "Models of plug-in units", "sets.unitmodel",
    (("Unit model", "name"), ("Covers from, kc", "low_kc"), ("Covers to, kc", "high_kc"), ("Note", "note")),
    **_both(UnitModel.objects.all), words=("name",),
)  # fmt: skip
FITTINGS = ListOut(
    "fittings", "Tubes in positions", "sets.fitting",
    (
        *PAIR[:3], ("Position", "position__mark"), ("Tube", "tube__item__tag"), ("Marked", "tube__marked"),
        ("From", "since"), ("From, time", "since_at"), ("To", "until"), ("To, time", "until_at"), ("Note", "note"),
    ),
    **_both(lambda: Fitting.objects.order_by("since", "pk")),
)  # fmt: skip
SEATINGS = ListOut(
    "seatings", "Plug-in units in bays", "sets.seating",
    (*PAIR[:3], ("Bay", "bay__mark"), *PAIR[3:], ("From", "since"), ("To", "until"), ("Note", "note")),
    **_both(lambda: Seating.objects.order_by("since", "pk")),
)  # fmt: skip
NEUTRALIZATIONS = ListOut(
    "neutralizations", "Neutralizations", "pairing.neutralization",
    (
        ("Date", "on"), ("Time", "at"), *PAIR, ("Dial setting", "setting"), ("Scale of the dial", "dial_scale"),
        ("Frequency used, kc", "frequency_kc"), ("Method", "method"), ("Reading at the null", "null_reading"),
        ("Lock tightened", "locked"), *EVENT,
    ),
    **_both(lambda: Neutralization.objects.order_by("on", "pk")),
)  # fmt: skip
DISTURBANCES = ListOut(
    "disturbances", "Disturbances", "pairing.disturbance",
    (("Date", "on"), ("Time", "at"), *PAIR, ("Cause", "cause"), *EVENT, ("Each with every partner", "both")),
    **_both(lambda: Disturbance.objects.order_by("on", "pk")),
)  # fmt: skip
ON_AIR = ListOut(
    "on-air", "On the air", "pairing.onairrecord",
    (
        ("Date", "on"), ("Time", "at"), *PAIR, ("Frequency, kc", "frequency_kc"), ("Plate supply, V", "supply_v"),
        ("Filament supply, V", "filament_v"), ("Filament current, A", "filament_a"), ("Plate current, mA", "plate_ma"),
        ("Antenna current, A", "antenna_a"), ("Full scale of that meter, A", "antenna_scale_a"),
        ("Output, W", "output_w"), ("Load, ohm", "load_ohm"), *EVENT, ("Before it went on the air", "readied"),
    ),
    **_both(lambda: OnAirRecord.objects.order_by("on", "pk")),
)  # fmt: skip
COMPARISONS = ListOut(
    "comparisons", "Companions compared with sets", "pairing.companioncheck",
    (
        ("Date", "on"), ("Companion", "companion__item__tag"), ("What", "companion__kind__name"), *PAIR[:3],
        ("Outcome", "outcome"), *EVENT,
    ),
    **_both(lambda: CompanionCheck.objects.order_by("on", "pk")),
)  # fmt: skip
HAZARDS = ListOut(
    "hazards", "Hazards", "holdings.hazardmark",
    (
        ("Tag", "item__tag"), ("Hazard", "hazard"), ("Standing", "standing"), ("Why", "reason"), ("Date", "on"),
    ),
    **_both(lambda: HazardMark.objects.order_by("item__tag", "hazard")), words=("item__tag", "hazard"),
)  # fmt: skip
FACTS = FactList(
    "facts", "Prices, readings, dates as found", "holdings.fact",
    tuple(
        (heading, "") for heading in (
            "Tag", "What", "As found", "Figure", "As a number", "Unit", "Instrument", "Currency", "Said of",
            "How many", "Not before", "Not after", "Precision", "Estimated", "Came with a list", "Column", "Entered",
            "By", "Struck out because",
        )
    ),
    **_both(lambda: Fact.objects.order_by("item__tag", "pk")), words=("item__tag",),
)  # fmt: skip
WANTS = ListOut(
    "wants", "Want list", "holdings.want",
    (
        ("What", "thing"), ("Type", "type__name"), ("Wanted", "quantity"), ("Top price", "top_price"),
        ("Currency", "currency"), ("For", "purpose"), ("Since", "since"), ("Note", "note"),
        ("Settled because", "settled"),
    ),
    here=open_wants, every=Want.objects.all, words=("thing",),
)  # fmt: skip
PAPERS = ListOut(
    "papers", "Photographs and papers", "holdings.paper",
    (("Tag", "item__tag"), ("Kind", "kind"), ("Date", "dated"), ("Caption", "caption"), ("File", "file")),
    **_both(lambda: Paper.objects.order_by("item__tag", "pk")), words=("item__tag",),
)  # fmt: skip

#: every list with a queryset behind it, in the order of the page and of the archive's own pages
LISTS: dict[str, ListOut] = {
    one.name: one
    for one in (
        TUBES, PARTS, CHASSIS, UNITS, COMPANIONS, PLACES, MOVEMENTS, FITTINGS, SEATINGS, NEUTRALIZATIONS, DISTURBANCES,
        ON_AIR, COMPARISONS, HAZARDS, FACTS, WANTS, SET_MODELS, POSITIONS, UNIT_MODELS, TYPES, PAPERS,
    )
}  # fmt: skip

PAIRINGS = "pairings"
PAIRING_HEADINGS = [
    "What", "Chassis", "Set model", "Serial", "Unit or companion", "Its model", "Its serial", "State", "Dial setting",
    "Covers from, kc", "Covers to, kc", "Why",
]  # fmt: skip


def pairing_cells(rows: Iterable[PairRow]) -> Iterator[list[Cell]]:
    """The pairing table as cells; the reasons stand in one cell."""
    for row in rows:
        low, high = row.covers_kc or (None, None)
        why = " ".join(f"{reason.date}: {reason.text}" if reason.date else reason.text for reason in row.reasons)
        ends = (row.chassis.tag, row.chassis.model, row.chassis.serial, row.unit.tag, row.unit.model, row.unit.serial)
        yield [cell(value) for value in (row.kind, *ends, row.state, row.setting, low, high, why)]
