"""The lists of fitted tubes, of sets, units and their models, and of tube types, as they are taken out."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery

from inventory.holdings.lists_out import GONE, KEPT, WHERE, ThingList
from inventory.holdings.models import Tube
from inventory.holdings.queries import tubes_here
from inventory.house.concerns import doubts_of_many
from inventory.house.lists_out import AT_ONCE, PAIR, ListOut, both
from inventory.sets.filters import ChassisFilter, OwnedTubeFilter, UnitFilter
from inventory.sets.models import Chassis, Fitting, PlugInUnit, Position, Seating, SetModel, StandIn, UnitModel
from inventory.sets.queries import chassis_here, open_fittings, units_here
from tubes.filters import TypeFilter
from tubes.models import TubeType
from tubes.queries import mark_lists

#: Columns of what is known by the serial on its plate.
PLATE = (("Serial", "serial"), ("Plate", "serial_reading"))
IN_DOUBT = "In doubt"


@dataclass(frozen=True)
class TypeList(ListOut):
    """The list of types: its marks come from many rows."""

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Any]]:
        kinds = iter(found.iterator(chunk_size=AT_ONCE))
        while chunk := list(islice(kinds, AT_ONCE)):
            for row, kind, marks in mark_lists(chunk):
                yield [row.name, kind, marks, row.hazard, row.origin]


@dataclass(frozen=True)
class TubeList(ThingList):
    """The list of tubes: beside the keeper's word on their state stands what their last tests say against it."""

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Any]]:
        at = self.headings.index(IN_DOUBT)
        tubes = super().rows(found)
        while chunk := list(islice(tubes, AT_ONCE)):
            told = doubts_of_many(row[at] for row in chunk)
            for row in chunk:
                doubt = told.get(row[at])
                yield [*row[:at], doubt.text if doubt else "", *row[at + 1 :]]


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


def _types() -> QuerySet[TubeType]:
    return TubeType.objects.order_by("name")


def _owned_types() -> QuerySet[TubeType]:
    return _types().filter(Q(origin="keeper") | Q(tubes__isnull=False) | Q(positions__isnull=False)).distinct()


TUBES = TubeList(
    "tubes", "Tubes", "holdings.tube",
    (
        ("Tag", "item__tag"), ("Type", "type__name"), ("Marked", "marked"), ("Maker", "maker"),
        ("Date code", "date_code"), ("State", "state"), (IN_DOUBT, "item_id"), KEPT, WHERE[0],
        ("In chassis", "in_chassis"), ("Position", "in_position"), *WHERE[1:], ("Condition", "condition"),
        ("Acquired on", "acquired_on"), ("Acquired how", "acquired_how"), ("Acquired from", "acquired_from"),
        ("Note", "note"), *GONE,
    ),
    lambda: _fitted(tubes_here()).order_by("item_id"), lambda: _fitted(Tube.objects.all()), ("item__tag",),
    order=10, narrow=OwnedTubeFilter,
)  # fmt: skip
CHASSIS = ThingList(
    "chassis", "Chassis", "sets.chassis",
    (("Tag", "item__tag"), ("Set model", "model__name"), *PLATE, *WHERE, ("Note", "note"), *GONE),
    chassis_here, Chassis.objects.all, ("model__name", "serial", "item__tag"),
    order=20, narrow=ChassisFilter,
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
    order=20, narrow=UnitFilter,
)  # fmt: skip
FITTINGS = ListOut(
    "fittings", "Tubes in positions", "sets.fitting",
    (
        *PAIR[:3], ("Position", "position__mark"), ("Tube", "tube__item__tag"), ("Marked", "tube__marked"),
        ("From", "since"), ("From, time", "since_at"), ("To", "until"), ("To, time", "until_at"), ("Note", "note"),
    ),
    **both(lambda: Fitting.objects.order_by("since", "pk")),
    order=30,
)  # fmt: skip
SEATINGS = ListOut(
    "seatings", "Plug-in units in bays", "sets.seating",
    (*PAIR[:3], ("Bay", "bay__mark"), *PAIR[3:], ("From", "since"), ("To", "until"), ("Note", "note")),
    **both(lambda: Seating.objects.order_by("since", "pk")),
    order=30,
)  # fmt: skip
SET_MODELS = ListOut(
    "set-models", "Set models", "sets.setmodel",
    (
        ("Set model", "name"), ("Kind", "kind"), ("Neutralizing capacitor", "neutralizing"), ("Caution", "caution"),
        ("Note", "note"),
    ),
    **both(SetModel.objects.all), words=("name",),
    order=50,
)  # fmt: skip
POSITIONS = ListOut(
    "positions", "Positions of set models", "sets.position",
    (
        ("Set model", "set_model__name"), ("Position", "mark"), ("Wants", "type__name"), ("Role", "role"),
        ("Neutralized", "neutralized"), ("Heaters in series", "heater_branch"),
    ),
    **both(lambda: Position.objects.order_by("set_model__name", "pk")), words=("set_model__name",),
    order=50,
)  # fmt: skip
UNIT_MODELS = ListOut(
    "unit-models", "Models of plug-in units", "sets.unitmodel",
    (("Unit model", "name"), ("Covers from, kc", "low_kc"), ("Covers to, kc", "high_kc"), ("Note", "note")),
    **both(UnitModel.objects.all), words=("name",),
    order=50,
)  # fmt: skip
STAND_INS = ListOut(
    "stand-ins", "Stand-ins for parts of set models", "sets.standin",
    (
        ("Set model", "set_model__name"), ("Position", "position__mark"), ("Part", "part"), ("In its place", "instead"),
        ("Word", "verdict"), ("What changes", "changes"), ("Can it be undone", "reversible"), ("Caution", "caution"),
        ("Whose word", "source"), ("Date", "on"), ("Follows", "general"), ("Struck out because", "struck"),
    ),
    **both(lambda: StandIn.objects.order_by("set_model__name", "pk")), words=("set_model__name",),
    order=50,
)  # fmt: skip
TYPES = TypeList(
    "types", "Tube types", "tubes.tubetype",
    (("Type", ""), ("Kind", ""), ("Marks", ""), ("Hazard", ""), ("Rows of", "")), _types, _owned_types, ("name",),
    order=50, narrow=TypeFilter,
)  # fmt: skip

LISTS = (TUBES, CHASSIS, UNITS, FITTINGS, SEATINGS, SET_MODELS, POSITIONS, STAND_INS, UNIT_MODELS, TYPES)
