"""Appraisals: a valuation of the collection frozen with all that went into it."""

from typing import Any

from django.db import transaction

from inventory.house.writing import write
from inventory.valuation.models import Appraisal, AppraisalLine
from inventory.valuation.queries.appraisals import digest_of, line_cells
from inventory.valuation.queries.collection import Collection, Line
from inventory.valuation.queries.pricing import mark_word
from inventory.valuation.rules.words import GRADES
from tubes.queries import knowledge

AT_ONCE = 1000


@transaction.atomic
def keep_appraisal(found: Collection, *, by: Any, by_whom: str = "", note: str = "") -> Appraisal:
    """Freeze a valuation with its evidence, rates, parameters and lines. Nothing of it follows later evidence."""
    market = found.market
    rows = [_line(line) for line in found.lines]
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


def _line(line: Line) -> AppraisalLine:
    thing = line.thing
    return AppraisalLine(
        tag=thing.tag, what=thing.what[:200], kind=thing.kind, grade=thing.grade, prices_of=_prices_of(line),
        place=thing.place, within="" if line.counts else thing.within, amount=line.amount, low=line.low,
        high=line.high, comparables=line.comparables, insured=str(thing.insured or ""),
    )  # fmt: skip


def _prices_of(line: Line) -> str:
    """The type, model or mark by whose prices a line goes, and for tubes whether they bear a military mark."""
    told = line.prices_of
    if line.thing.type:
        told += f", {mark_word(line.thing.marked, line.thing.type, knowledge()) or 'mark not said'}"
    return told[:100]


def _inputs(found: Collection) -> dict[str, Any]:
    """All that went in, as JSON: parameters, evidence with what it became, prices of everything in every grade."""
    market = found.market
    fit = market.fit
    half_life = market.weighting.half_life if market.weighting else None
    factors = [
        {
            "attribute": one.attribute, "word": one.word, "against": one.against, "times": f"{one.times:.6f}",
            "low": None if one.low is None else f"{one.low:.6f}",
            "high": None if one.high is None else f"{one.high:.6f}", "rows": one.rows, "shown": one.shown,
        }
        for one in (fit.factors.factors if fit.factors else ())
    ]  # fmt: skip
    evidence = [
        {
            "row": brought.sale.name, "date": str(brought.sale.on), "designation": brought.sale.designation,
            "type": brought.sale.type, "set_model": brought.sale.set_model, "grade": brought.sale.grade,
            "kind": brought.sale.kind, "venue": brought.sale.venue, "price": str(brought.sale.money),
            "quantity": brought.sale.quantity,
            "premium_pct": None if brought.sale.premium_pct is None else f"{brought.sale.premium_pct.normalize():f}",
            "source": brought.sale.source, "each": None if brought.price is None else f"{brought.price:.6f}",
            "by": list(brought.by), "left_out": market.reason(at),
        }
        for at, brought in enumerate(market.sales)
    ]  # fmt: skip
    return {
        "parameters": {
            "on": str(market.on), "currency": market.currency, "basis": market.basis, "real": market.real,
            "place": found.place, "half_life": f"{half_life:g}" if half_life else None,
            "market": market.market.words, "factors": factors,
        },
        "evidence": evidence,
        "prices": _prices(found),
        "insured_not_converted": list(found.not_converted),
    }  # fmt: skip


def _prices(found: Collection) -> dict[str, dict[str, str]]:
    """What everything that was valued is worth in every grade: by it a change of grade is told from one of prices."""
    lines = {_prices_of(line): line for line in found.lines if line.subject and line.amount is not None}
    asked = [(key, line, grade) for key, line in lines.items() for grade in (*GRADES, "")]
    known = knowledge()
    worth = found.market.values(
        [line.subject for _, line, _ in asked if line.subject],
        [grade for *_, grade in asked],
        [
            mark_word(line.thing.marked, line.thing.type, known) if line.thing.type else ""
            for _, line, _ in asked
        ],
    )  # fmt: skip
    prices: dict[str, dict[str, str]] = {}
    for (key, _, grade), amount in zip(asked, worth.amount.tolist(), strict=True):
        prices.setdefault(key, {})[grade] = f"{amount:.2f}"
    return prices
