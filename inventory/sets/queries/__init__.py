"""Questions about sets, plug-in units and what is fitted where."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypeVar

from django.db.models import Count, Exists, F, OuterRef, Q, QuerySet, Subquery

from inventory.holdings.models import Item, Tube
from inventory.holdings.queries import AT_HAND, tubes_here, with_own_number
from inventory.holdings.queries.doubts import NOTHING_SAID, SaidOf, with_doubts
from inventory.house.records.moments import at_start
from inventory.sets.models import Bay, Chassis, Fitting, PlugInUnit, Position, Seating, SetModel, Stay
from inventory.sets.queries.in_position import Sitting, stand_ins_in
from tubes.queries import Knowledge, knowledge
from tubes.rules.relations import RUGGEDIZED

OneStay = TypeVar("OneStay", bound=Stay)


@dataclass(frozen=True)
class SocketRow:
    """A position of a chassis, and the fitting that holds it now (or None)."""

    position: Position
    fitting: Fitting | None
    difference: str = ""  # how the tube differs from the type wanted
    stand_ins: tuple[Sitting, ...] = ()  # what sits there in the place of a tube


@dataclass(frozen=True)
class BayRow:
    """A bay of a chassis, and the unit that sits in it now (or None)."""

    bay: Bay
    seating: Seating | None


@dataclass(frozen=True)
class Stock:
    """How many tubes of some types there are.

    ``good`` and the other states: neither fitted, nor lent, nor missed at a stock-take; ``fitted``: in any set now;
    ``missed``: not found at a stock-take, and neither fitted nor lent by the register. ``said``: what is
    said of some of the good ones, where it was asked for (``queries.doubts``).
    """

    good: int = 0
    untested: int = 0
    weak: int = 0
    dud: int = 0
    fitted: int = 0
    lent: int = 0
    missed: int = 0
    places: tuple[tuple[str, int, int], ...] = field(default=())  # path, good, untested
    said: SaidOf = NOTHING_SAID

    def as_dict(self) -> dict[str, int]:
        return {name: getattr(self, name) for name in ("good", "untested", "weak", "dud", "fitted")}


def open_fittings() -> QuerySet[Fitting]:
    """Fittings that hold now."""
    return Fitting.objects.filter(until__isnull=True)


def fitted_now() -> Exists:
    """A condition on tubes: in a position of some set at present."""
    return Exists(open_fittings().filter(tube=OuterRef("pk")))


def owned_tubes() -> QuerySet[Tube]:
    """Tubes here in order of entry, each told whether it is fitted (``is_fitted``) and its keeper's own number.

    What lists and API start from.
    """
    return where_fitted(with_own_number(tubes_here().annotate(is_fitted=fitted_now()).order_by("item_id")))


def where_fitted(rows: QuerySet[Tube]) -> QuerySet[Tube]:
    """Tubes, each told the tag of the chassis that it is in and its position (``in_chassis``, ``in_position``)."""
    now = open_fittings().filter(tube=OuterRef("pk"))
    return rows.annotate(
        in_chassis=Subquery(now.values("chassis__item__tag")[:1]),
        in_position=Subquery(now.values("position__mark")[:1]),
    )


def where_seated(rows: QuerySet[PlugInUnit]) -> QuerySet[PlugInUnit]:
    """Units, each told the tag of the chassis that it is in and its bay (``in_chassis``, ``in_bay``)."""
    now = Seating.objects.filter(unit=OuterRef("pk"), until__isnull=True)
    return rows.annotate(
        in_chassis=Subquery(now.values("chassis__item__tag")[:1]),
        in_bay=Subquery(now.values("bay__mark")[:1]),
    )


def stock_of(type_names: Iterable[str]) -> Stock:
    """Count the tubes of these types (one query). Those gone never count; lent, fitted and missed are no spares."""
    return stock_where(Q(type__name__in=list(type_names)))


def stock_where(condition: Q) -> Stock:
    """Count the tubes that meet a condition, as ``stock_of`` counts those of some types (one query)."""
    fitted = fitted_now()
    rows = (
        tubes_here()
        .filter(condition)
        .annotate(is_fitted=fitted)
        .order_by()
        .values("state", "is_fitted", "item__place__path")
        .annotate(
            free=Count("pk", filter=AT_HAND),
            missed=Count("pk", filter=Q(item__lent_to="", item__missed_on__isnull=False)),
            away=Count("pk", filter=~Q(item__lent_to="")),
        )
    )
    counts = dict.fromkeys(("good", "untested", "weak", "dud", "fitted", "lent", "missed"), 0)
    places: dict[str, list[int]] = {}
    for row in rows:
        counts["lent"] += row["away"]
        if row["is_fitted"]:
            counts["fitted"] += row["free"] + row["missed"] + row["away"]
            continue
        counts["missed"] += row["missed"]
        counts[row["state"]] += row["free"]
        if row["state"] in (Tube.GOOD, Tube.UNTESTED) and row["free"]:
            at = places.setdefault(row["item__place__path"] or "without a place", [0, 0])
            at[0 if row["state"] == Tube.GOOD else 1] += row["free"]
    listed = tuple((path, good, untested) for path, (good, untested) in sorted(places.items()))
    return Stock(**counts, places=listed, said=NOTHING_SAID)


def good_by_type(type_names: Iterable[str]) -> dict[str, int]:
    """How many good tubes on the shelf, not fitted, lent or missed, there are of each of these types (one query)."""
    return dict(good_tubes(type_names).order_by().values_list("type__name").annotate(Count("pk")))


def good_tubes(type_names: Iterable[str]) -> QuerySet[Tube]:
    """The good tubes of these types on the shelf, not fitted, lent or missed."""
    return tubes_here().filter(AT_HAND, ~fitted_now(), type__name__in=list(type_names), state=Tube.GOOD)


def sockets_of(chassis: Chassis, known: Knowledge | None = None) -> list[SocketRow]:
    """Every position of a chassis with the tube in it now, and what its last tests say against that (``Tube.doubt``).

    A fixed number of queries, those of ``knowledge`` among them if it is not at hand.
    """
    fittings = list(open_fittings().filter(chassis=chassis).select_related("tube__item", "tube__type"))
    with_doubts(fitting.tube for fitting in fittings)
    sits = stand_ins_in([chassis.pk])
    by_position = {fitting.position_id: fitting for fitting in fittings}
    rows = []
    known = known or (knowledge() if by_position else None)
    for position in chassis.model.positions.select_related("type").order_by("id"):
        fitting = by_position.get(position.pk)
        difference = type_difference(fitting.tube, position, known) if fitting else ""
        rows.append(SocketRow(position, fitting, difference, sits.get((chassis.pk, position.pk), ())))
    return rows


def bays_of(chassis: Chassis) -> list[BayRow]:
    """Every bay of a chassis with the unit in it now (two queries)."""
    seatings = Seating.objects.filter(chassis=chassis, until__isnull=True).select_related("unit__item", "unit__model")
    by_bay = {seating.bay_id: seating for seating in seatings}
    return [BayRow(bay, by_bay.get(bay.pk)) for bay in chassis.model.bays.order_by("id")]


def chassis_here() -> QuerySet[Chassis]:
    """Chassis that have not left, with model, tag and place."""
    return Chassis.objects.filter(item__gone_on__isnull=True).select_related("model", "item__place")


def units_here() -> QuerySet[PlugInUnit]:
    """Plug-in units that have not left, with model, tag and place."""
    return PlugInUnit.objects.filter(item__gone_on__isnull=True).select_related("model", "item__place")


def fittings_of_tube(tube: Tube) -> QuerySet[Fitting]:
    """Where a tube was fitted, the latest first."""
    return tube.fittings.select_related("chassis__model", "chassis__item", "position").order_by("-since", "-pk")


def seatings_of_unit(unit: PlugInUnit) -> QuerySet[Seating]:
    """Where a plug-in unit sat, the latest first."""
    return unit.seatings.select_related("chassis__model", "chassis__item", "bay").order_by("-since", "-pk")


def fittings_here() -> QuerySet[Fitting]:
    """Tubes in use, in the order of their sets, with all that names them."""
    return (
        open_fittings()
        .filter(chassis__item__gone_on__isnull=True)
        .select_related("tube__item", "tube__type", "chassis__model", "chassis__item", "position")
        .order_by("chassis__model__name", "chassis__serial", "position_id")
    )


def doubtful_fittings() -> QuerySet[Fitting]:
    """Tubes in use that are weak, untested or dud by the keeper's word."""
    return fittings_here().filter(tube__state__in=[Tube.WEAK, Tube.UNTESTED, Tube.DUD])


def type_difference(tube: Tube, position: Position, known: Knowledge | None = None) -> str:
    """How a tube differs in type from what a position wants, in a sentence; empty where it is that type.

    The same tube under another number and its ruggedized forms are no difference.
    """
    if position.type is None or (tube.type_id == position.type_id):
        return ""
    if tube.type is None:
        return f"{position.mark} wants a {position.type}; what {tube.tag} is has not been settled."
    known = known or knowledge()
    wanted = position.type.name
    stands_in = {r.type for r in known.kin.relatives(wanted) if r.relation == RUGGEDIZED and not r.unchecked}
    if tube.type.name in known.kin.same_as(wanted) | stands_in:
        return ""
    return f"{position.mark} wants a {wanted}; {tube.tag} is a {tube.type}."


FEW = 500  # keys that a database takes in one question; beyond that all that is fitted is looked through


def where_held_many(items: Sequence[Item]) -> dict[int, list[str]]:
    """Where tubes and units sit at present, in words, by key (two queries); things in no set are left out."""
    keys = {item.pk for item in items}
    fittings = open_fittings().select_related("chassis__model", "chassis__item", "position")
    seatings = Seating.objects.filter(until__isnull=True).select_related("chassis__model", "chassis__item", "bay")
    if len(keys) <= FEW:
        fittings, seatings = fittings.filter(tube__in=keys), seatings.filter(unit__in=keys)
    found: dict[int, list[str]] = defaultdict(list)
    for fitting in fittings:
        if fitting.tube_id in keys:
            found[fitting.tube_id].append(f"it is in {fitting.chassis} {fitting.position.mark}")
    for seating in seatings:
        if seating.unit_id in keys:
            found[seating.unit_id].append(f"it sits in {seating.chassis}, bay {seating.bay.mark}")
    return dict(found)


def kept_from_leaving(item: Item, on: date) -> list[str]:
    """Why a thing cannot have left on a day: it was in a set until later, or still holds tubes or units."""
    told = []
    stays: tuple[QuerySet[Any], ...] = (Fitting.objects.filter(tube=item.pk), Seating.objects.filter(unit=item.pk))
    for last in filter(None, (rows.order_by("-until").first() for rows in stays)):
        if last.until and last.until > on:
            told.append(f"{item.tag} was in a set until {last.until}; it cannot have left before.")
    holds = (
        open_fittings().filter(chassis=item.pk).count()
        + Seating.objects.filter(until__isnull=True, chassis=item.pk).count()
    )
    if holds:
        told.append(f"{item.tag} still holds {holds} tubes or units of the register; take them out first.")
    return told


def odd_fittings(known: Knowledge) -> list[tuple[Fitting, str]]:
    """Tubes in use that are not the type their position wants, each with the difference in a sentence."""
    rows = (
        open_fittings()
        .filter(chassis__item__gone_on__isnull=True, position__type__isnull=False)
        .exclude(tube__type=F("position__type"))
        .select_related("tube__item", "tube__type", "chassis__model", "chassis__item", "position__type")
        .order_by("chassis__model__name", "chassis__serial", "position_id")
    )
    found = [(fitting, type_difference(fitting.tube, fitting.position, known)) for fitting in rows]
    return [(fitting, difference) for fitting, difference in found if difference]


def set_models() -> QuerySet[SetModel]:
    """Set models with the number of chassis here and of positions."""
    here = Count("chassis", filter=Q(chassis__item__gone_on__isnull=True), distinct=True)
    return SetModel.objects.annotate(chassis_here=here, sockets=Count("positions", distinct=True)).order_by("name")


def overlapping(stays: QuerySet[OneStay], stay: Stay) -> OneStay | None:
    """The first of these stays that shares time with one: more than the day, or the minute, of a change."""
    near = stays.filter(Q(until__isnull=True) | Q(until__gte=stay.since)).exclude(pk=stay.pk)
    if stay.until is not None:
        near = near.filter(since__lte=stay.until)
    return next((one for one in near.order_by("since", "pk") if _begins_in(one, stay) and _begins_in(stay, one)), None)


def _begins_in(one: Stay, other: Stay) -> bool:
    """Whether a stay begins before another ends; where both are of one day, only times tell that."""
    if other.until is None or one.since != other.until:
        return other.until is None or one.since < other.until
    timed = one.since_at is not None and other.until_at is not None
    return timed and at_start(one.since, one.since_at) < at_start(other.until, other.until_at)
