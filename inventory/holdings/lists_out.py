"""The lists of things, of places and of what is said of things, as they are taken out."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from typing import Any

from django.db.models import (
    Case,
    CharField,
    Count,
    F,
    Q,
    QuerySet,
    Sum,
    Value,
    When,
)

from inventory.holdings.filters import MovementFilter, PartFilter, WantFilter
from inventory.holdings.models import (
    ConditionCheck,
    Fact,
    HazardCheck,
    HazardMark,
    Item,
    Loan,
    Movement,
    Paper,
    PartLot,
    Place,
    Want,
)
from inventory.holdings.models.register import LEFT
from inventory.holdings.queries import FACT_COLUMNS, fact_cells, open_wants, part_lots
from inventory.holdings.queries.coming import were_here
from inventory.holdings.queries.facts import fact_orders, said_of_leaving
from inventory.holdings.queries.loans import loans
from inventory.holdings.queries.places import places_with_counts
from inventory.holdings.queries.standing import STANDING_COLUMNS, standing_cells, standing_orders
from inventory.holdings.rules.fact_words import plain_number
from inventory.holdings.rules.facts import MONEY
from inventory.holdings.rules.part_kinds import PART_KINDS
from inventory.holdings.rules.ways import way_out
from inventory.house.concerns import claims_of_many
from inventory.house.lists_out import AT_ONCE, EVENT, Cell, ListOut, both, column_key
from inventory.house.order import Order

GONE = (("Left on", "item__gone_on"), ("How it left", "item__gone_how"))
HOW_IT_LEFT = column_key(GONE[1][0])  # what a thing was sold for may stand in it
WHERE = (
    ("Place", "item__place__path"),
    ("Lent to", "item__lent_to"),
    ("Last seen", "item__seen_on"),
    ("Not found on", "item__missed_on"),
)


KEPT = ("Reserved", "item_id")
NOT_COUNTED = Q(least__isnull=True, most__isnull=True)  # not known is not none, so such lots stand beside a sum
AT_MOST = Q(least__isnull=True, most__isnull=False)
PICTURE = Cell("Picture", "holdings/cells/picture.html", of=("Tag",))
TAG = Cell("Tag", "holdings/cells/tag.html")


@dataclass(frozen=True)
class ThingList(ListOut):
    """A list of things: behind their own columns stand the facts that came with lists or were entered, then whose
    each is and how it was found last.

    Where it has the column ``KEPT``, that says what counts on each.
    """

    @property
    def headings(self) -> list[str]:
        return [*super().headings, *(heading for heading, _ in FACT_COLUMNS), *STANDING_COLUMNS]

    @property
    def of_money(self) -> tuple[str, ...]:
        facts = tuple(column_key(heading) for heading, about in FACT_COLUMNS if about in MONEY)
        return (*facts, HOW_IT_LEFT) if GONE[1] in self.columns else facts

    def orders(self) -> dict[str, tuple[str, Order]]:
        facts = {column_key(heading): (heading, how) for heading, how in (*fact_orders(), *standing_orders())}
        return super().orders() | facts

    def keyed(self, found: QuerySet[Any]) -> Iterator[tuple[Any, list[Any]]]:
        paths = [path for _, path in self.columns]
        things = iter(found.values_list("item_id", *paths).iterator(chunk_size=AT_ONCE))
        none = [""] * len(FACT_COLUMNS)
        at = self.columns.index(KEPT) if KEPT in self.columns else None
        while chunk := list(islice(things, AT_ONCE)):
            keys = [key for key, *_ in chunk]
            facts, standing = fact_cells(keys), standing_cells(keys)
            claims = {} if at is None else claims_of_many(keys)
            for key, *values in chunk:
                if at is not None:
                    values[at] = "; ".join(claim.text for claim in claims.get(key, ()))
                yield key, [*values, *facts.get(key, none), *standing[key]]


@dataclass(frozen=True)
class FactList(ListOut):
    """Every fact on a line of its own, with what it was read as."""

    def without_money(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        return rows.exclude(about__in=MONEY)

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Any]]:
        for fact in found.select_related("item", "by").iterator(chunk_size=AT_ONCE):
            amount = "" if fact.value is None else plain_number(fact.value)
            of = (fact.get_per_display(), fact.of_count, fact.first, fact.last, fact.precision, fact.estimated)
            entered = (fact.from_list, fact.column, fact.entered_at, fact.by, fact.struck, fact.basis)
            yield [fact.item.tag, fact.get_about_display(), fact.text, fact.figure, amount, fact.unit, fact.instrument,
                   fact.currency, *of, *entered]  # fmt: skip


@dataclass(frozen=True)
class DisposalList(ListOut):
    """What left the collection: how, why, on whose word. What was lent and what belongs to others is told of loans."""

    @property
    def of_money(self) -> tuple[str, ...]:
        return ("proceeds", HOW_IT_LEFT)

    def rows(self, found: QuerySet[Any]) -> Iterator[list[Any]]:
        things = iter(found.values_list("pk", "tag", "kind", "gone_on", "gone_how").iterator(chunk_size=AT_ONCE))
        while chunk := list(islice(things, AT_ONCE)):
            said = said_of_leaving(key for key, *_ in chunk)
            for key, *values in chunk:
                yield [*values, way_out(values[-1]), *said.get(key, [""] * 4)]


@dataclass(frozen=True)
class MoveList(ListOut):
    """Moves. Of things that left before only the way was filed, a move may say what they were sold for."""

    def without_money(self, rows: QuerySet[Any]) -> QuerySet[Any]:
        return rows.exclude(to_path=LEFT, reason__regex=r"[0-9]")


@dataclass(frozen=True)
class WantList(ListOut):
    """What is wanted; the top price is the house's own."""

    @property
    def of_money(self) -> tuple[str, ...]:
        return ("top-price",)


def _places() -> QuerySet[Place]:
    return Place.objects.annotate(things=Count("items", filter=Q(items__gone_on__isnull=True))).order_by("path")


@dataclass(frozen=True)
class PlaceList(ListOut):
    """Places with what lies in them and, counted along the paths at once, below them."""

    def keyed(self, found: QuerySet[Any]) -> Iterator[tuple[Any, list[Any]]]:
        within = {one.place.pk: one.within for one in places_with_counts()}
        at = [path for _, path in self.columns].index("")
        paths = [path for _, path in self.columns if path]
        for key, *values in found.values_list("pk", *paths).iterator(chunk_size=AT_ONCE):
            yield key, [*values[:at], within.get(key, 0), *values[at:]]


def _by_unit() -> Order:
    """Farads with farads and ohms with ohms: values of two units do not compare."""
    unit = Case(*(When(type__kind=one.key, then=Value(one.unit)) for one in PART_KINDS if one.unit), default=None,
                output_field=CharField())  # fmt: skip
    return Order((unit, F("type__value")), "most first")


PARTS = ThingList(
    "parts", "Part lots", "holdings.partlot",
    (
        ("Tag", "item__tag"), ("What", "name"), ("Value or type", "value"), ("Kind of part", "type__kind"),
        ("Value in its unit", "type__value"), ("Tolerance, %", "type__tolerance_pct"), ("Rated, V", "type__volts"),
        ("Rated, W", "type__watts"), ("Rated, A", "type__amps"), ("Construction", "type__construction"),
        ("Class", "type__safety_class"), ("Mounting", "type__mounting"), ("Marking", "type__marking"),
        ("In words", "type__words"), ("Serial", "serial"), ("Maker", "maker"), ("At least", "least"),
        ("At most", "most"), ("Duds", "duds"), ("To count", "to_count"), KEPT, *WHERE, ("Condition", "condition"),
        ("Note", "note"), *GONE,
    ),
    part_lots, PartLot.objects.all, ("name", "value", "item__tag"),
    order=20, narrow=PartFilter, page="holdings:part-list",
    cells=(
        TAG, PICTURE, Cell("Value or type", "holdings/cells/value.html"),
        Cell("Kind of part", "holdings/cells/part_kind.html"),
        Cell("Quantity", "holdings/cells/quantity.html", of=("At least", "At most", "Duds", "To count", "Reserved"),
             figure=True),
        Cell("Where", "holdings/cells/where.html", of=("Place", "Lent to", "Not found on")),
    ),
    shown=("Tag", "What", "Value or type", "Kind of part", "Maker", "Quantity", "Where"),
    grouped=("What", "Kind of part", "Maker", "Place", "Construction"),
    sums=lambda: {
        "Pieces, at least": Sum("least"), "Lots of no known quantity": Count("pk", filter=NOT_COUNTED),
        "Lots of which the most alone is known": Count("pk", filter=AT_MOST), "Duds": Sum("duds"),
    },
    ordered=(("Value in its unit", _by_unit),),
)  # fmt: skip
PLACES = PlaceList(
    "places", "Places", "holdings.place",
    (("Path", "path"), ("Code", "code"), ("Name", "name"), ("Things directly in it", "things"),
     ("Things in it and below", ""), ("Note", "note")),
    **both(_places), words=("path",),
    order=30,
)  # fmt: skip
MOVEMENTS = MoveList(
    "movements", "Moves", "holdings.movement",
    (
        ("Date", "on"), ("Tag", "item__tag"), ("From", "from_path"), ("To", "to_path"), ("By", "by__username"),
        ("Why", "reason"),
    ),
    **both(lambda: Movement.objects.order_by("-on", "-pk")),
    order=30, narrow=MovementFilter,
)  # fmt: skip
HAZARDS = ListOut(
    "hazards", "Hazards", "holdings.hazardmark",
    (
        ("Tag", "item__tag"), ("Hazard", "hazard"), ("Standing", "standing"), ("Why", "reason"), ("Date", "on"),
        ("By whom", "by_whom"),
    ),
    **both(lambda: HazardMark.objects.order_by("item__tag", "hazard")), words=("item__tag", "hazard"),
    order=40,
)  # fmt: skip
CHECKS = ListOut(
    "hazard-checks", "Checks that found no hazard", "holdings.hazardcheck",
    (
        ("Tag", "things__tag"), ("Looked for", "hazard"), ("How", "how"), ("Date", "on"), ("Time", "at"),
        ("Place then", "where"), *EVENT,
    ),
    **both(lambda: HazardCheck.objects.order_by("on", "pk", "things__tag")),
    order=40,
)  # fmt: skip
FACTS = FactList(
    "facts", "Prices, readings, dates as found", "holdings.fact",
    tuple(
        (heading, "") for heading in (
            "Tag", "What", "As found", "Figure", "As a number", "Unit", "Instrument", "Currency", "Said of",
            "How many", "Not before", "Not after", "Precision", "Estimated", "Came with a list", "Column", "Entered",
            "By", "Struck out because", "Basis",
        )
    ),
    **both(lambda: Fact.objects.order_by("item__tag", "pk")), words=("item__tag",),
    order=40,
)  # fmt: skip
WANTS = WantList(
    "wants", "Want list", "holdings.want",
    (
        ("What", "thing"), ("Type", "type__name"), ("Wanted", "quantity"), ("Top price", "top_price"),
        ("Currency", "currency"), ("For", "purpose"), ("Since", "since"), ("Note", "note"),
        ("Settled because", "settled"),
    ),
    here=open_wants, every=Want.objects.all, words=("thing",),
    order=40, narrow=WantFilter,
)  # fmt: skip
LOANS = ListOut(
    "loans", "Loans", "holdings.loan",
    (
        ("Tag", "item__tag"), ("Way", "way"), ("To or from whom", "who"), ("Since", "since"), ("Due back", "due"),
        ("Terms", "terms"), ("Condition", "condition"), ("Back on", "ended"), ("Condition then", "condition_back"),
        ("Note", "note"),
    ),
    here=loans, every=Loan.objects.all, words=("item__tag",),
    order=40,
)  # fmt: skip
PAPERS = ListOut(
    "papers", "Photographs and papers", "holdings.paper",
    (
        ("Tag", "item__tag"), ("Kind", "kind"), ("Date", "dated"), ("Caption", "caption"), ("File", "file"),
        ("Taken", "stage"),
    ),
    **both(lambda: Paper.objects.order_by("item__tag", "pk")), words=("item__tag",),
    order=60,
)  # fmt: skip

CONDITIONS = ListOut(
    "conditions", "Conditions by day", "holdings.conditioncheck",
    (
        ("Tag", "item__tag"), ("Date", "on"), ("Time", "at"), ("State", "state"), ("Complete", "complete"),
        ("Missing", "lacking"), ("Hazard seen", "hazard"), ("Look again on", "look_again"), *EVENT,
    ),
    **both(lambda: ConditionCheck.objects.order_by("item__tag", "-on", "-pk")), words=("item__tag",),
    order=40,
)  # fmt: skip
DISPOSALS = DisposalList(
    "disposals", "What left, and on whose word", "holdings.item",
    (
        ("Tag", "tag"), ("Kind", "kind"), ("Left on", "gone_on"), ("How it left", "gone_how"), ("Read as", ""),
        ("Why it left", ""), ("Authorised by", ""), ("Went to", ""), ("Proceeds", ""),
    ),
    **both(lambda: were_here(Item.objects.filter(gone_on__isnull=False)).order_by("-gone_on", "tag")), words=("tag",),
    order=40,
)  # fmt: skip

LISTS = (PARTS, PLACES, MOVEMENTS, HAZARDS, CHECKS, CONDITIONS, FACTS, WANTS, LOANS, DISPOSALS, PAPERS)
