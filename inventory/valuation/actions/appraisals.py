"""Appraisals: a valuation of the collection frozen with all that went into it."""

from collections.abc import Iterator
from typing import Any

from django.db import transaction

from inventory.holdings.models import Item
from inventory.house.writing import write
from inventory.valuation.models import Appraisal, AppraisalLine
from inventory.valuation.queries.appraisals import digest_of, line_cells, prices_key
from inventory.valuation.queries.pricing import Priced
from inventory.valuation.queries.worth import Collection, Line
from inventory.valuation.rules import packed as packing
from inventory.valuation.rules.evidence import USED
from inventory.valuation.rules.packed import packed
from inventory.valuation.rules.words import GRADES

AT_ONCE = 1000
PLAIN = 20_000  # rows of evidence that are kept as they are, above which they are packed


@transaction.atomic
def keep_appraisal(found: Collection, *, by: Any, by_whom: str = "", note: str = "") -> Appraisal:
    """Freeze a valuation with its evidence, rates, parameters and lines. Nothing of it follows later evidence."""
    market = found.market
    rows = [_line(line, prices_key(line)) for line in found.lines]
    inputs = _inputs(found)
    appraisal = Appraisal(
        on=market.on, currency=market.currency, basis=market.basis, real=market.real, place=found.place,
        total=found.total, low=found.low, high=found.high, things=len(rows), without_evidence=len(found.without),
        inputs=inputs, digest=digest_of(inputs, (line_cells(row) for row in rows)), by_whom=by_whom, note=note,
    )  # fmt: skip
    write(appraisal, by=by, reason="appraised")
    for row in rows:
        row.appraisal = appraisal
    AppraisalLine.objects.bulk_create(rows, batch_size=AT_ONCE)
    return appraisal


def _line(line: Line, prices_of: str) -> AppraisalLine:
    thing = line.thing
    return AppraisalLine(
        tag=thing.tag, what=line.what[:200], kind=thing.kind, grade=thing.grade, prices_of=prices_of,
        place=thing.place, within="" if line.counts else thing.part_of, amount=line.amount, low=line.low,
        high=line.high, comparables=line.comparables, insured=str(thing.insured or ""),
    )  # fmt: skip


def _inputs(found: Collection) -> dict[str, Any]:
    """All that went in, as JSON: parameters, evidence with what it became, prices of everything in every grade."""
    market = found.market
    half_life = market.weighting.half_life if market.weighting else None
    return {
        "parameters": {
            "on": str(market.on), "currency": market.currency, "basis": market.basis, "real": market.real,
            "place": found.place, "half_life": f"{half_life:g}" if half_life else None,
            "market": market.market.words, "factors": _factors(market),
            "lost": found.lost,
            "market_of_sets": found.sets.market.words, "factors_of_sets": _factors(found.sets),
        },
        **_evidence(found),
        "prices": _prices(found),
        "insured_not_converted": list(found.not_converted),
        "insured": {line.thing.tag: f"{line.insured:.2f}" for line in found.lines if line.insured is not None},
    }  # fmt: skip


def _factors(market: Priced) -> list[dict[str, Any]]:
    """Figures as text: a database may write a number another way than it was given."""
    factors = market.fit.factors.factors if market.fit.factors else ()
    return [
        {
            "attribute": one.attribute, "word": one.word, "against": one.against,
            "times": None if one.times is None else f"{one.times:.6f}",
            "low": None if one.low is None else f"{one.low:.6f}",
            "high": None if one.high is None else f"{one.high:.6f}", "rows": one.rows, "shown": one.shown,
        }
        for one in factors
    ]  # fmt: skip


def _evidence(found: Collection) -> dict[str, Any]:
    """Every piece of evidence; many of them packed, read and written a sheet at a time."""
    markets = (found.market, found.sets)
    many = sum(len(market.evidence) for market in markets)
    rows = (row for market in markets for row in _rows(market))
    if many <= PLAIN:
        return {"evidence": list(rows)}
    counted = sum(int((market.fit.why == USED).sum()) for market in markets)
    return {"evidence_packed": packed(rows), "evidence_rows": many, "evidence_counted": counted}


def _rows(market: Priced) -> Iterator[dict[str, Any]]:
    every = range(len(market.evidence))
    for start in every[:: packing.AT_ONCE]:
        yield from _some_rows(market, every[start : start + packing.AT_ONCE])


def _some_rows(market: Priced, places: range) -> Iterator[dict[str, Any]]:
    for at, brought in zip(places, market.brought(places), strict=True):
        sale = brought.sale
        premium = None if sale.premium_pct is None else f"{sale.premium_pct.normalize():f}"
        each = None if brought.price is None else f"{brought.price:.6f}"
        yield {
            "row": sale.name, "date": str(sale.on or ""), "designation": sale.designation, "type": sale.type,
            "set_model": sale.set_model, "unit_model": sale.unit_model, "companion": sale.companion,
            "grade": sale.grade, "kind": sale.kind, "venue": sale.venue,
            "price": str(sale.money), "quantity": sale.quantity, "premium_pct": premium, "source": sale.source,
            "each": each, "by": list(brought.by), "left_out": market.reason(at),
        }  # fmt: skip


def _prices(found: Collection) -> dict[str, dict[str, str]]:
    """What every tube that was valued is worth in every grade: by it a change of grade is told from one of prices."""
    lines = {
        prices_key(line): line
        for line in found.lines
        if line.subject and line.amount is not None and line.thing.kind == Item.TUBE
    }
    asked = [(key, line, grade) for key, line in lines.items() for grade in GRADES]
    worth = found.market.values(
        [line.subject for _, line, _ in asked if line.subject],
        [grade for *_, grade in asked],
        [line.mark for _, line, _ in asked],
    )
    prices: dict[str, dict[str, str]] = {}
    for (key, _, grade), amount in zip(asked, worth.amount.tolist(), strict=True):
        if amount == amount:  # a number: of a grade of which no sales tell there is none
            prices.setdefault(key, {})[grade] = f"{amount:.2f}"
    return prices
