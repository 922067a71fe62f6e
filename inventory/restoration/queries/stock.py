"""The tubes that could serve: on the shelf, neither lent, gone nor missed, good or untested; and what each costs."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from django.db.models import Prefetch, QuerySet
from django.utils import timezone
from numpy.typing import NDArray

from inventory.holdings.models import Item, Loan, Place, Tube
from inventory.holdings.queries import AT_HAND, tubes_here
from inventory.restoration.models import Plan, Reservation
from inventory.restoration.queries.worth import values_of
from inventory.restoration.rules.allocation import Points, value_points
from inventory.running.models import MatchedSet, TubeTest
from inventory.running.queries import verdicts_of
from inventory.running.rules.verdicts import BORDERLINE, GOOD, REJECT
from inventory.sets.models import Fitting
from inventory.sets.queries import fitted_now, open_fittings
from tubes.models import TubeType


@dataclass(frozen=True)
class Stock:
    """Tubes that could serve, as arrays beside the rows.

    ``types``: names, also of what is reserved; ``kinds``: of each tube the number of its type. ``points``: what each
    costs by its state and value. ``sits``: of one in service its fitting, by number. ``kept``: tubes reserved, which
    are none of ``tubes``. ``parted``: whether a tube stands in a matched set on record, of ``matched_sets``.
    ``owed``: the loan of each tube that is here on one, by key; ``verdicts``: of the last tests of ``tubes`` and
    ``kept``, by key. ``awaited``: whether one that is called untested reads good. ``rejected``: tubes of the shelf
    that are not reserved and that their last test rejects, whatever they are called.
    """

    tubes: tuple[Tube, ...]
    types: tuple[str, ...]
    kinds: NDArray[np.int64]
    points: NDArray[np.float64]
    untested: NDArray[np.bool_]
    borderline: NDArray[np.bool_]
    sits: dict[int, Fitting] = field(default_factory=dict)
    kept: tuple[Reservation, ...] = ()
    parted: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, bool))
    matched_sets: tuple[MatchedSet, ...] = ()
    owed: Mapping[int, Loan] = field(default_factory=dict)
    verdicts: Mapping[int, str] = field(default_factory=dict)
    awaited: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, bool))
    rejected: tuple[Tube, ...] = ()

    def where(self, number: int) -> str:
        """Where a tube is, in words."""
        if number in self.sits:
            fitting = self.sits[number]
            return f"in {fitting.chassis} {fitting.position.mark}"
        place = self.tubes[number].item.place
        return str(place) if place else "without a place"


def stock(points: Points, in_service: bool = False, besides: Sequence[int] = ()) -> Stock:
    """What could serve (a fixed number of queries). ``in_service``: good tubes of sets too, but those of ``besides``.

    What is reserved for a line of a plan is not offered again.
    """
    reserved = tuple(kept_tubes())
    kept = {row.item_id for row in reserved}
    free = _on_the_shelf(kept)
    sits: dict[int, Fitting] = {}
    if in_service:
        for fitting in _in_service(besides):
            if fitting.tube_id not in kept:
                sits[len(free)] = fitting
                free.append(fitting.tube)
    tested = set(TubeTest.objects.filter(struck="").values_list("tube", flat=True).distinct())
    beside = [row.item.tube for row in reserved]
    verdicts = verdicts_of(tube for tube in (*free, *beside) if tube.pk in tested)
    rejected = tuple(tube for number, tube in enumerate(free) if verdicts.get(tube.pk) == REJECT and number not in sits)
    usable = [number for number, tube in enumerate(free) if verdicts.get(tube.pk) != REJECT]
    sits = {new: sits[old] for new, old in enumerate(usable) if old in sits}
    tubes = tuple(free[number] for number in usable)
    names = tuple(sorted({tube.type.name for tube in (*tubes, *beside) if tube.type}))
    number_of = {name: number for number, name in enumerate(names)}
    untested = np.array([tube.state == Tube.UNTESTED for tube in tubes], bool)
    read = np.array([verdicts.get(tube.pk) in (GOOD, BORDERLINE) for tube in tubes], bool)
    awaited = untested & read
    borderline = np.array([verdicts.get(tube.pk) == BORDERLINE for tube in tubes], bool)
    taken = np.array([number in sits for number in range(len(tubes))], bool)
    sets = tuple(
        MatchedSet.objects.filter(split_on__isnull=True).select_related("instrument").prefetch_related("members")
    )
    bound = {member.tube_id for row in sets for member in row.members.all()}
    parted = np.array([tube.pk in bound for tube in tubes], bool)
    cost = (
        (untested & ~awaited) * points.untested
        + awaited * points.awaited
        + borderline * points.borderline
        + taken * points.in_service
        + parted * points.parted
        + value_points(values_of([tube.pk for tube in tubes], Item.TUBE), points.most_value)
    )
    kinds = np.array([number_of[tube.type.name] for tube in tubes if tube.type], np.int64)
    owed = {row.item_id: row for row in Loan.objects.filter(way=Loan.IN, ended__isnull=True)}
    return Stock(
        tubes, names, kinds, cost.astype(float), untested, borderline, sits, reserved, parted, sets, owed, verdicts,
        awaited, rejected,
    )  # fmt: skip


def unfit_tubes(types: Iterable[str]) -> list[Tube]:
    """Weak tubes and duds of some types that lie on the shelf, in the order of their tags (one query)."""
    rows = tubes_here().filter(AT_HAND, ~fitted_now(), type__name__in=list(types), state__in=(Tube.WEAK, Tube.DUD))
    return list(rows.select_related("item", "type").order_by("item__tag"))


def _on_the_shelf(kept: set[int]) -> list[Tube]:
    """Good and untested tubes that are there, in the order of their tags.

    Types and places are fetched once and shared: rows of their own for each of many thousand tubes take most of the
    time of an assignment.
    """
    rows = tubes_here().filter(AT_HAND, ~fitted_now(), type__isnull=False, state__in=(Tube.GOOD, Tube.UNTESTED))
    types, places = TubeType.objects.in_bulk(), Place.objects.in_bulk()
    free = []
    for tube in rows.select_related(None).select_related("item").order_by("item__tag"):
        if tube.pk not in kept:
            tube.type, tube.item.place = types[tube.type_id or 0], places.get(tube.item.place_id or 0)
            free.append(tube)
    return free


def kept_tubes() -> QuerySet[Reservation]:
    """Tubes that are reserved; one that is in a set by now is not: it was used."""
    rows = Reservation.objects.filter(quantity__isnull=True).exclude(item__in=open_fittings().values("tube"))
    return rows.select_related(
        "plan", "item__tube__type", "item__place", "position", "chassis__model", "chassis__item", "requirement"
    ).order_by("pk")


def serves(tube: Tube) -> bool:
    """Whether a tube is here and neither weak nor a dud."""
    item = tube.item
    return tube.state in (Tube.GOOD, Tube.UNTESTED) and not (item.gone_on or item.lent_to or item.missed_on)


def _in_service(besides: Sequence[int]) -> list[Fitting]:
    """Good tubes of sets that are the house's own and here, but those of some."""
    borrowed = Loan.objects.filter(way=Loan.IN, ended__isnull=True).values("item")
    rows = open_fittings().filter(
        tube__state=Tube.GOOD, tube__type__isnull=False, chassis__item__lent_to="", chassis__item__gone_on__isnull=True,
        chassis__item__missed_on__isnull=True,
    ).exclude(chassis__in=list(besides)).exclude(chassis__in=borrowed)  # fmt: skip
    aside = Prefetch("chassis__plans", Plan.objects.filter(state=Plan.LAID_ASIDE), to_attr="laid_aside")
    rows = rows.prefetch_related(aside)
    return list(rows.select_related("tube__item__place", "tube__type", "chassis__model", "chassis__item", "position"))


def owed_words(tag: str, loan: Loan | None) -> tuple[str, ...]:
    """Whom to ask before a thing that is here on loan goes in."""
    if loan is None:
        return ()
    late = ", overdue" if loan.due and loan.due < timezone.localdate() else ""
    until = f", to be given back by {loan.due}{late}" if loan.due else ""
    return (f"ask {loan.who} first: {tag} is here on loan{until}",)
