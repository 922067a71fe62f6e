"""The lists of fitted tubes, of sets, units and their models, and of tube types, as they are taken out."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import reduce
from itertools import islice
from operator import or_
from typing import Any

from django.db.models import Count, Q, QuerySet

from inventory.holdings.lists_out import GONE, KEPT, PICTURE, TAG, WHERE, ThingList
from inventory.holdings.models import Tube
from inventory.holdings.queries import tubes_here
from inventory.house.concerns import claimed_keys, doubts_of_many
from inventory.house.lists_out import AT_ONCE, PAIR, Cell, ListOut, both, column_key
from inventory.house.order import Order, texts, yes_or_no
from inventory.sets.filters import ChassisFilter, OwnedTubeFilter, UnitFilter
from inventory.sets.models import Chassis, Fitting, PlugInUnit, Position, Seating, SetModel, StandIn, UnitModel
from inventory.sets.queries import chassis_here, units_here, where_fitted, where_seated
from tubes.filters import TypeFilter
from tubes.models import TubeType
from tubes.queries import mark_lists

#: Columns of what is known by the serial on its plate.
PLATE = (("Serial", "serial"), ("Plate", "serial_reading"))
IN_DOUBT = "In doubt"
MODEL = Cell("Set model", "sets/cells/model.html")
SERIAL = Cell("Serial", "sets/cells/serial.html")
WHERE_IT_IS = Cell("Where", "holdings/cells/where.html", of=("Place", "Lent to", "Not found on"))


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

    def orders(self) -> dict[str, tuple[str, Order]]:
        kept = reduce(or_, (Q(pk__in=keys) for keys in claimed_keys()), Q(pk__in=[]))
        return super().orders() | {column_key(KEPT[0]): (KEPT[0], yes_or_no(kept))}

    def keyed(self, found: QuerySet[Any]) -> Iterator[tuple[Any, list[Any]]]:
        at = self.headings.index(IN_DOUBT)
        tubes = super().keyed(found)
        while chunk := list(islice(tubes, AT_ONCE)):
            told = doubts_of_many(key for key, _ in chunk)
            for key, row in chunk:
                doubt = told.get(key)
                yield key, [*row[:at], doubt.text if doubt else "", *row[at + 1 :]]


def _numbered(heading: str, path: str) -> tuple[str, Callable[[], Order]]:
    """Tags and positions: V2 before V10."""
    return heading, lambda: texts(path, numbered=True)


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
    lambda: where_fitted(tubes_here()).order_by("item_id"), lambda: where_fitted(Tube.objects.all()), ("item__tag",),
    order=10, narrow=OwnedTubeFilter, page="holdings:tube-list",
    cells=(
        TAG, PICTURE, Cell("Type", "sets/cells/type.html"), Cell("Marked", "sets/cells/marked.html"),
        Cell("State", "sets/cells/state.html"),
        Cell("Where", "sets/cells/tube_where.html", of=("Place", "In chassis", "Position", "Lent to", "Not found on")),
    ),
    shown=("Tag", "Type", "Marked", "Maker", "State", "Where"),
    grouped=("Type", "Place", "Maker", "State", "Marked", "In chassis", "Acquired from"),
    sums=lambda: {word.capitalize(): Count("pk", filter=Q(state=state)) for state, word in Tube.STATES},
    ordered=(_numbered("In chassis", "in_chassis"), _numbered("Position", "in_position")),
)  # fmt: skip
CHASSIS = ThingList(
    "chassis", "Chassis", "sets.chassis",
    (("Tag", "item__tag"), ("Set model", "model__name"), *PLATE, *WHERE, ("Note", "note"), *GONE),
    chassis_here, Chassis.objects.all, ("model__name", "serial", "item__tag"),
    order=20, narrow=ChassisFilter, page="sets:chassis-list",
    cells=(TAG, PICTURE, MODEL, SERIAL, WHERE_IT_IS),
    shown=("Tag", "Set model", "Serial", "Where"), grouped=("Set model", "Place"),
)  # fmt: skip
UNITS = ThingList(
    "units", "Plug-in units", "sets.pluginunit",
    (
        ("Tag", "item__tag"), ("Unit model", "model__name"), *PLATE, ("Covers from, kc", "model__low_kc"),
        ("Covers to, kc", "model__high_kc"), WHERE[0], ("In chassis", "in_chassis"), ("Bay", "in_bay"), *WHERE[1:],
        ("Note", "note"), *GONE,
    ),
    lambda: where_seated(units_here()), lambda: where_seated(PlugInUnit.objects.all()),
    ("model__name", "serial", "item__tag"),
    order=20, narrow=UnitFilter, page="sets:unit-list",
    cells=(
        TAG, PICTURE, SERIAL, WHERE_IT_IS,
        Cell("Covers", "sets/cells/covers.html", of=("Covers from, kc", "Covers to, kc")),
    ),
    shown=("Tag", "Unit model", "Serial", "Covers", "Where"), grouped=("Unit model", "Place", "In chassis"),
    ordered=(_numbered("In chassis", "in_chassis"), _numbered("Bay", "in_bay")),
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
