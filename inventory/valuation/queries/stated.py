"""A valuation as papers state it: by today's evidence, or as an appraisal has it, in one shape."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any

from inventory.holdings.rules.prices import read_price
from inventory.house.currencies import is_currency
from inventory.house.money import CENT, Money
from inventory.valuation.models import Appraisal, AppraisalLine
from inventory.valuation.queries.collection import INTERVAL, RANGE
from inventory.valuation.queries.sales import exchange
from inventory.valuation.queries.things import standing_in
from inventory.valuation.queries.worth import Collection, Line, added
from inventory.valuation.rules.remarks import without_rate
from inventory.valuation.rules.sale import OF_THE_VALUATION
from inventory.valuation.rules.scatter import FEWEST


@dataclass(frozen=True, slots=True)
class Figure:
    """A thing with what it is worth, None without evidence. ``within``: the tag of the set that it stands in, or in
    whose value it is contained.

    ``counts``: it is added; False where it is contained in the value of its set. ``insured`` is in the currency of the
    paper. ``at_most``: in words, where there is no amount since the evidence does not tell what such ones fetch.
    ``prices_of``: by whose prices it goes. ``spread``: what ``low`` to ``high`` is.
    """

    tag: str
    what: str
    kind: str
    grade: str = ""
    place: str = ""
    within: str = ""
    part_of: str = ""
    amount: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    comparables: int = 0
    spread: str = ""
    insured: Decimal | None = None
    prices_of: str = ""
    at_most: str = ""

    @property
    def counts(self) -> bool:
        return not self.part_of


@dataclass(frozen=True, eq=False)
class Stated:
    """A valuation with all that every paper says of it. ``appraisal``: its number, None by today's evidence.

    ``market``: in which market prices were looked for. ``not_converted``: insured sums that are left out, and why.
    ``lost``: how many sales are not in it for lack of a rate of exchange, in words.
    """

    on: date
    currency: str
    basis: str
    real: bool
    place: str
    figures: tuple[Figure, ...]
    made_by: str
    made_on: date
    market: tuple[str, ...] = ()
    appraisal: int | None = None
    not_converted: tuple[str, ...] = ()
    lost: str = ""

    @cached_property
    def counted(self) -> list[Figure]:
        return [one for one in self.figures if one.counts and one.amount is not None]

    @cached_property
    def without(self) -> list[Figure]:
        """What has no amount, and is contained in no other figure."""
        return [one for one in self.figures if one.counts and one.amount is None]

    @property
    def without_evidence(self) -> list[Figure]:
        """Of these, what nothing was sold of."""
        return [one for one in self.without if not one.at_most]

    @property
    def at_most(self) -> list[Figure]:
        """And what was sold, but not so that it tells what such a grade fetches."""
        return [one for one in self.without if one.at_most]

    @property
    def total(self) -> Decimal:
        return added(one.amount for one in self.counted)

    @property
    def low(self) -> Decimal:
        return added(one.low for one in self.counted)

    @property
    def high(self) -> Decimal:
        return added(one.high for one in self.counted)

    @property
    def insured(self) -> Decimal:
        return added(one.insured for one in self.figures)


def stated(found: Collection, *, by: str, today: date) -> Stated:
    """The collection by the evidence of a day. ``by``: who asks for the paper."""
    market = found.market
    words = (market.market.words, f"Of sets: {found.sets.market.words}" if len(found.sets.evidence) else "")
    return Stated(
        market.on, market.currency, market.basis, market.real, found.place, _figures(found), by, today,
        tuple(filter(None, words)), not_converted=found.not_converted, lost=found.lost,
    )  # fmt: skip


def _figures(found: Collection) -> tuple[Figure, ...]:
    return tuple(map(_figure, found.lines))


def _figure(line: Line) -> Figure:
    thing, (low, high) = line.thing, (None, None) if line.amount is None else (line.low, line.high)
    return Figure(
        thing.tag, thing.what, thing.kind, thing.grade, thing.place, thing.within,
        "" if line.counts else thing.part_of, line.amount, low, high, line.comparables, line.spread,
        line.insured, line.prices_of, line.no_amount,
    )  # fmt: skip


def stated_of(appraisal: Appraisal) -> Stated:
    """An appraisal as it was kept. What stands in which set is as the register says today (four queries)."""
    rows = list(appraisal.lines.order_by("tag"))  # type: ignore[attr-defined]
    insured, refused = _insured(rows, appraisal)
    holds = standing_in()
    parameters: dict[str, Any] = appraisal.inputs.get("parameters", {})
    figures = tuple(_kept(row, insured.get(row.tag), holds.get(row.tag, "")) for row in rows)
    sets = parameters.get("market_of_sets", "") if parameters.get("factors_of_sets") else ""
    words = (parameters.get("market", ""), f"Of sets: {sets}" if sets else "")
    return Stated(
        appraisal.on, appraisal.currency, appraisal.basis, appraisal.real, appraisal.place, figures,
        appraisal.by_whom or "a command", appraisal.entered_at.date(), tuple(filter(None, words)), appraisal.pk,
        tuple(refused), lost_of(appraisal),
    )  # fmt: skip


def lost_of(appraisal: Appraisal) -> str:
    """How many sales were not in it for lack of a rate of exchange, in words. Of one that was kept before that was
    said with it, they are counted among its evidence, where that is kept row by row.
    """
    inputs: dict[str, Any] = appraisal.inputs
    parameters = inputs.get("parameters", {})
    if "lost" in parameters:
        return str(parameters["lost"])
    rows = inputs.get("evidence", ())
    return without_rate(sum(one.get("each") is None and bool(one.get("date")) for one in rows), None)


def _kept(row: AppraisalLine, insured: Decimal | None, now_in: str) -> Figure:
    spread = (INTERVAL if row.comparables >= FEWEST else RANGE) if row.amount is not None else ""
    told, (low, high) = "", (row.low, row.high)
    if row.amount is None and (low is not None or high is not None):
        ends = " and ".join(f"at {word} {end}" for word, end in (("most", high), ("least", low)) if end is not None)
        told, low, high = f"the evidence did not tell what {row.grade or 'working'} ones fetch; {ends}", None, None
    return Figure(
        row.tag, row.what, row.kind, row.grade, row.place, now_in, row.within, row.amount, low,
        high, row.comparables, spread, insured, row.prices_of, told,
    )  # fmt: skip


def _insured(rows: Iterable[AppraisalLine], appraisal: Appraisal) -> tuple[dict[str, Decimal], list[str]]:
    """Insured sums as they were then, in the currency of the appraisal.

    One that was kept without its sums in that currency goes by today's rates of its day.
    """
    inputs: dict[str, Any] = appraisal.inputs
    if "insured" in inputs:
        sums = {tag: Decimal(amount) for tag, amount in inputs["insured"].items()}
        return sums, list(inputs.get("insured_not_converted", ()))
    rates = exchange(appraisal.currency, appraisal.on).rates
    found: dict[str, Decimal] = {}
    refused = []
    for row in rows:
        price = read_price(row.insured) if row.insured else None
        if price is None or price.amount is None or not is_currency(price.currency):
            continue
        try:
            money = rates.convert(
                Money(price.amount, price.currency), appraisal.currency, appraisal.on, OF_THE_VALUATION
            ).money
        except ValueError as why:
            refused.append(f"{row.tag}, {row.insured}: {why}")
        else:
            found[row.tag] = money.amount.quantize(CENT)
    return found, refused
