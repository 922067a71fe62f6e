"""What the collection is worth, thing by thing, on the evidence of one day in one currency.

A set for whose model there is evidence is worth what such sets fetch complete: the tubes and units in it, and the units
and books that belong with it, are then told and not added again. Of a set without evidence they count by themselves.
"""

import math
from collections import defaultdict
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone

from inventory.holdings.models import Item
from inventory.house.money import CENT
from inventory.running.models import MatchedTube
from inventory.valuation.queries.columns import columns
from inventory.valuation.queries.goes_by import goes_by
from inventory.valuation.queries.pricing import Priced, priced
from inventory.valuation.queries.sales import exchange
from inventory.valuation.queries.subjects import EQUIPMENT, MARK, Subject
from inventory.valuation.queries.things import Thing, insured_unknown, owned_things
from inventory.valuation.queries.worth import Collection, Line, Matched, added
from inventory.valuation.rules.estimate import Values
from inventory.valuation.rules.sale import OF_THE_VALUATION
from inventory.valuation.rules.weighting import Weighting
from inventory.valuation.rules.words import GRADES
from tubes.queries import knowledge

NO_SUBJECT = Subject(MARK, "")  # of which there is never any evidence
RANGE, INTERVAL = "range of the comparables", "80 % of sales"


def collection(
    currency: str, on: date, *, basis: str, real: bool = False, place: str = "", grade: str = "",
    weighting: Weighting | None = None,
) -> Collection:  # fmt: skip
    """All that is owned today, by the evidence of a day. Raises ValueError for a currency, basis or place that is none.

    ``grade``: only tubes of it. Things are taken as they are now, whatever the valuation date.
    """
    evidence = columns()
    tubes, sets = (
        priced(currency, on, basis=basis, real=real, weighting=weighting, found=evidence, sets=whole)
        for whole in (False, True)
    )
    things = owned_things(timezone.localdate(), place)
    if place and not things:
        raise ValueError(f"nothing is in a place {place!r}; write its path as the page of places does")
    if grade:
        things = [one for one in things if one.grade == grade]
    return valued(tubes, sets, things, place)


def valued(tubes: Priced, sets: Priced, things: list[Thing], place: str = "") -> Collection:
    """Things by the markets of tubes and of sets, all at once."""
    goes = [*map(goes_by(knowledge()), things)]
    asked = [one.subject or NO_SUBJECT for one in goes]
    of_tubes = figures_of(tubes.values(asked, [thing.grade for thing in things], [one.mark for one in goes]))
    of_sets = figures_of(sets.values(asked, [sets.usual_of(one) for one in asked]))
    insured, not_converted = _insured(things, tubes)
    lines = []
    for at, (thing, one) in enumerate(zip(things, goes, strict=True)):
        told = (of_sets if one.subject and one.subject.what in EQUIPMENT else of_tubes)[at]
        amount, low, high, count, spread, most, least = told
        lines.append(Line(
            thing, one.subject, amount, low, high, count, spread, most, least, True, insured.get(thing.key),
            one.mark, one.stamp,
        ))  # fmt: skip
    return Collection(tubes, sets, place, _contained(lines), not_converted, _matched(lines))


def figures_of(found: Values) -> list[tuple[Any, ...]]:
    """Amount, low, high, comparables, what the spread is, and the grades that it fetches no more and no less than, of
    each thing: as ``Line`` has them.
    """
    columns = (found.amount, found.low, found.high, found.comparables, found.interval, found.refused)
    ends = zip(found.bounded.tolist(), found.bound.tolist(), found.floor.tolist(), strict=True)
    told: list[tuple[Any, ...]] = []
    for (*figures, count, interval, refused), (bounded, bound, floor) in zip(
        zip(*(one.tolist() for one in columns), strict=True), ends, strict=True
    ):
        spread = "" if refused or not count else INTERVAL if interval else RANGE
        most = (GRADES[bound] if bound >= 0 else "") if bounded else None
        told.append((*map(_cents, figures), count, spread, most, GRADES[floor] if floor >= 0 else ""))
    return told


def _cents(amount: float) -> Decimal | None:
    return None if math.isnan(amount) else Decimal(amount).quantize(CENT)


def _matched(lines: list[Line]) -> tuple[Matched, ...]:
    """Matched sets of which a tube is among the lines (one query)."""
    by_tag = {line.thing.tag: line for line in lines}
    sets: dict[str, list[Line]] = defaultdict(list)
    rows = MatchedTube.objects.filter(matched_set__split_on__isnull=True).select_related("matched_set", "tube__item")
    for row in rows.order_by("matched_set_id", "pk"):
        if line := by_tag.get(row.tube.tag):
            sets[str(row.matched_set)].append(line)
    return tuple(
        Matched(
            name, tuple(one.thing.tag for one in some), added(one.amount for one in some),
            sum(one.amount is None for one in some),
        )
        for name, some in sets.items()
    )  # fmt: skip


def _contained(lines: list[Line]) -> tuple[Line, ...]:
    """The lines, those that stand in a set which is valued whole, or belong with it, marked as contained in it."""
    whole = {line.thing.tag for line in lines if line.thing.kind == Item.CHASSIS and line.amount is not None}
    return tuple(replace(line, counts=False) if line.thing.part_of in whole else line for line in lines)


def _insured(things: list[Thing], market: Priced) -> tuple[dict[int, Decimal], tuple[str, ...]]:
    """Insured sums in the currency of the answer, at the last rate before its date; in words what has no rate, or of
    which it is not known what one thing is insured for.
    """
    rates = exchange(market.currency, market.on).rates
    found, refused, unknown = {}, [], insured_unknown()
    for thing in things:
        if thing.key in unknown:
            refused.append(f"{thing.tag}, {unknown[thing.key]}")
        if thing.insured:
            try:
                money = rates.convert(thing.insured, market.currency, market.on, OF_THE_VALUATION).money
            except ValueError as why:
                refused.append(f"{thing.tag}, {thing.insured}: {why}")
            else:
                found[thing.key] = money.amount.quantize(CENT)
    return found, tuple(refused)
