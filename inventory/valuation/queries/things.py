"""What is owned, as a valuation needs it: every thing of the register, its grade, its place, what it stands in."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet
from django.urls import reverse

from inventory.holdings.models import Item, Loan, Tube
from inventory.holdings.queries.amounts import UNREAD, UNSAID, WHY_NOT, counted, not_counted
from inventory.holdings.queries.paid import each
from inventory.holdings.rules.facts import INSURED
from inventory.house.areas import kinds
from inventory.house.concerns import Doubt, doubts_of_many
from inventory.house.currencies import is_currency
from inventory.house.money import Money
from inventory.pairing.queries.mates import mates_of_sets
from inventory.running.models import TubeTest
from inventory.running.queries.together import told_of_many
from inventory.running.rules.verdicts import GOOD as PASSED
from inventory.sets.models import Fitting, Seating
from inventory.valuation.rules.own import grade_of

NO_PLACE = "no place"


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing that is owned. ``within``: the tag of the set that it stands in; ``mate``: of the set it belongs with.

    ``type``, ``set_model``, ``unit_model`` and ``companion`` are names, empty where it has none; ``marked`` is the
    stamp of a tube. ``against``: what its last tests said that made its grade another.
    """

    key: int
    tag: str
    kind: str
    what: str
    place: str
    type: str = ""
    set_model: str = ""
    marked: str = ""
    grade: str = ""
    against: str = ""
    within: str = ""
    insured: Money | None = None
    unit_model: str = ""
    companion: str = ""
    mate: str = ""

    @property
    def part_of(self) -> str:
        """The tag of the set that it goes with when that is sold whole; empty where it is by itself."""
        return self.within or self.mate

    @property
    def address(self) -> str:
        """Of its page."""
        return reverse(kinds()[self.kind].page, args=[self.tag])

    @property
    def building(self) -> str:
        """The place at the top, under which all others lie."""
        return self.place.partition(" / ")[0] or NO_PLACE


def owned_things(on: date, place: str = "") -> list[Thing]:
    """Everything owned, lent things too, without what is here on loan, by tag (some twenty queries at most).

    ``on``: today, for what belongs with which set. ``place``: only what is in a place by its path, or below it, with
    what stands in the sets there.
    """
    borrowed = Loan.objects.filter(way=Loan.IN, ended__isnull=True).values("item")
    items = Item.objects.filter(gone_on__isnull=True).exclude(pk__in=borrowed).order_by("tag")
    within = _within()
    insured, mates = _insured(), mates_of_sets(on)
    found = [
        replace(one, within=within.get(one.key, ""), insured=insured.get(one.key), mate=mates.get(one.tag, ""))
        if one.key in within or one.key in insured or one.tag in mates
        else one
        for one in (*_tubes(items), *_sets(items), *_units(items), *_companions(items), *_others(items))
    ]
    places = {one.tag: one.place for one in found}
    # what stands in a set is where the set is
    found = [replace(one, place=places.get(one.within, one.place)) if one.within else one for one in found]
    if place:
        found = [one for one in found if one.place == place or one.place.startswith(f"{place} / ")]
    return sorted(found, key=lambda one: one.tag)


def said_by_tests(tested: Iterable[int], untested: Iterable[int]) -> tuple[dict[int, Doubt], dict[int, Doubt]]:
    """By key of tubes what their last tests say against them; and of ``untested`` ones, which of them passed."""
    told = told_of_many(untested)
    passed = {key: Doubt(PASSED, one.on) for key, one in told.items() if one.verdict.verdict == PASSED}
    return doubts_of_many(tested), passed


def _tubes(items: QuerySet[Item]) -> Iterator[Thing]:
    tested = TubeTest.objects.filter(struck="").values_list("tube_id", flat=True).distinct()
    doubts, passed = said_by_tests(tested, tested.filter(tube__state=Tube.UNTESTED))
    rows: Any = items.filter(tube__isnull=False).values_list(
        "pk", "tag", "place__path", "tube__type__name", "tube__marked", "tube__state", "tube__condition"
    )
    for key, tag, path, type_name, marked, state, condition in rows.iterator(chunk_size=5000):
        grade, against = _graded(state, condition, doubts.get(key), passed.get(key))
        yield Thing(key, tag, Item.TUBE, type_name or marked, path or "", type_name or "", "", marked, grade, against)


def _graded(state: str, condition: str, doubt: Doubt | None, passed: Doubt | None) -> tuple[str, str]:
    """The grade of a tube, and what its last tests said that made it another than its state says."""
    grade, last = grade_of(state, condition, doubt.word if doubt else "", passed=passed is not None), doubt or passed
    return grade, last.text if last and grade != grade_of(state, condition) else ""


def thing_of(item: Item) -> Thing | None:
    """One thing as ``owned_things`` has it, without what is said of its set; None of what no evidence can be of."""
    path = item.place.path if item.place else ""
    if item.kind == Item.TUBE:
        tube = item.tube
        doubts, passed = said_by_tests([item.pk], [item.pk] if tube.state == Tube.UNTESTED else [])
        grade, against = _graded(tube.state, tube.condition, doubts.get(item.pk), passed.get(item.pk))
        name = tube.type.name if tube.type else ""
        return Thing(
            item.pk, item.tag, Item.TUBE, name or tube.marked, path, name, "", tube.marked, grade, against
        )  # fmt: skip
    for rows in (_sets, _units, _companions):
        if found := next(rows(Item.objects.filter(pk=item.pk)), None):
            return found
    return None


def _sets(items: QuerySet[Item]) -> Iterator[Thing]:
    rows: Any = items.filter(chassis__isnull=False).values_list(
        "pk", "tag", "place__path", "chassis__model__name", "chassis__serial"
    )
    for key, tag, path, model, serial in rows:
        what = f"{model} {serial}".strip()
        yield Thing(key, tag, Item.CHASSIS, what, path or "", set_model=model)


def _units(items: QuerySet[Item]) -> Iterator[Thing]:
    rows = items.filter(pluginunit__isnull=False).select_related("place", "pluginunit__model")
    for item in rows:
        unit: Any = item.pluginunit  # type: ignore[attr-defined]
        path = item.place.path if item.place else ""
        yield Thing(item.pk, item.tag, Item.UNIT, unit.untagged, path, unit_model=unit.model.name)


def _companions(items: QuerySet[Item]) -> Iterator[Thing]:
    rows = items.filter(companion__isnull=False).select_related("place", "companion__kind__set_model")
    for item in rows:
        path = item.place.path if item.place else ""
        name = str(item.companion.kind)  # type: ignore[attr-defined]
        yield Thing(item.pk, item.tag, item.kind, item.words, path, companion=name)


def _others(items: QuerySet[Item]) -> Iterator[Thing]:
    fetch = {column for kind in kinds().values() for column in kind.fetch}
    priced = Q(tube__isnull=False) | Q(chassis__isnull=False) | Q(pluginunit__isnull=False)
    rest = items.exclude(priced | Q(companion__isnull=False)).select_related("place", *fetch)
    for item in rest:
        yield Thing(item.pk, item.tag, item.kind, item.words, item.place.path if item.place else "")


def _within() -> dict[int, str]:
    """By key of a thing the tag of the set that it stands in."""
    fitted = Fitting.objects.filter(until__isnull=True).values_list("tube_id", "chassis__item__tag")
    seated = Seating.objects.filter(until__isnull=True).values_list("unit_id", "chassis__item__tag")
    return dict((*fitted, *seated))


def standing_in() -> dict[str, str]:
    """By tag of a thing the tag of the set that it stands in today (two queries)."""
    fitted = Fitting.objects.filter(until__isnull=True).values_list("tube__item__tag", "chassis__item__tag")
    seated = Seating.objects.filter(until__isnull=True).values_list("unit__item__tag", "chassis__item__tag")
    return dict((*fitted, *seated))


def _insured() -> dict[int, Money]:
    """What things are insured for, by key, as all sums have it (``queries.amounts``); of a lot the share of one."""
    rows: Any = counted(INSURED).annotate(one=each()).values_list("item_id", "one", "currency")
    return {key: Money(Decimal(str(value)), code) for key, value, code in rows if value > 0 and is_currency(code)}


def insured_unknown() -> dict[int, str]:
    """Why an insured value that stands on a thing is in no sum, by key (two queries)."""
    found: dict[int, str] = {}
    for reason in (UNREAD, UNSAID):
        rows = not_counted(INSURED, reason).values_list("item_id", "text")
        found |= {key: f"{text[:60]}: {WHY_NOT[reason]}" for key, text in rows}
    return found
