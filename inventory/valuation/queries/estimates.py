"""What one thing is worth on evidence, with every row that it rests on and every row that does not count."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

import numpy as np

from inventory.house.money import Money
from inventory.valuation.queries.columns import columns, columns_of
from inventory.valuation.queries.keeping import levels
from inventory.valuation.queries.naming import equipment_named
from inventory.valuation.queries.pricing import UNSAID, Levels, Priced, priced
from inventory.valuation.queries.sales import sales
from inventory.valuation.queries.subjects import (
    EQUIPMENT,
    TUBE,
    WHAT,
    Subject,
    evidence_for,
    family_names,
    mark_of,
    mark_subject,
    tube_subject,
)
from inventory.valuation.rules.backtest import FOLDS, BackTest, back_test, joined
from inventory.valuation.rules.bases import FAIR_MARKET, Market
from inventory.valuation.rules.evidence import MARKS, MILITARY, NOT_SAID
from inventory.valuation.rules.factors import Factor, Trend
from inventory.valuation.rules.grade_order import WORKING
from inventory.valuation.rules.market import Market as Worked
from inventory.valuation.rules.rests import Rests
from inventory.valuation.rules.sale import Brought, Sale
from inventory.valuation.rules.weighting import Weighting
from inventory.valuation.rules.words import GRADES
from tubes.queries import Knowledge, knowledge, type_named

LENDS = 0.01  # of a level: relatives or a kind that give less are not named


@dataclass(frozen=True, slots=True)
class Comparable:
    """A sale that counts: ``price`` for one in the money of the answer, ``levelled`` to what is valued."""

    brought: Brought
    price: Money
    levelled: Money

    @property
    def day(self) -> date:
        """Of its sale: what is of no known day does not count."""
        return self.brought.sale.on or date.min


@dataclass(frozen=True, slots=True)
class Estimate:
    """The answer. ``amount``, ``low``, ``high``: None without evidence; the last two are 80 % where ``interval``.

    ``name``: the type, set model or mark; ``shares``: what its own sales, its relatives, its kind and other kinds
    give to the level;
    ``same``: its equivalents with sales that count; ``relatives``: those that lend; ``left_out``: sale and reason.
    ``at_most``: of which the evidence does not tell what they fetch, there is no amount: ``high`` is what one of this
    better grade (empty: as the evidence has them) fetches, whose sales are the comparables; None elsewhere.
    ``at_least``: the same of a worse grade, with ``low``; empty elsewhere. ``held_down``: the better grade that the
    figures are held down to, and the amount without that. ``brought_down``: no such one was sold, and it is worked out
    of working ones. ``grade_as``: the grade that it is taken as equal to, where no sale that counts bears the one that
    was asked for.
    ``sold_relatives``: where it has no sale of its own, relatives with how many that count.
    """

    name: str
    what: str
    grade: str
    grade_named: bool
    grade_as: str
    at_most: str | None
    at_least: str
    held_down: tuple[str, Money] | None
    brought_down: bool
    mark: str
    basis: str
    on: date
    currency: str
    real: bool
    amount: Money | None
    low: Money | None
    high: Money | None
    interval: bool
    level: tuple[Money, Money] | None
    comparables: tuple[Comparable, ...]
    asking: tuple[Comparable, ...]
    left_out: tuple[tuple[Sale, str], ...]
    same: tuple[str, ...]
    relatives: tuple[str, ...]
    sold_relatives: tuple[tuple[str, int], ...]
    kind: str
    shares: tuple[float, float, float, float]
    market: Market
    factors: tuple[Factor, ...]
    trend: Trend | None


def estimate(
    text: str, *, on: date, grade: str = "", basis: str = FAIR_MARKET, currency: str = "EUR", real: bool = False,
    weighting: Weighting | None = None, mark: str = "", own: bool = True,
) -> Estimate:  # fmt: skip
    """What one thing that a text names is worth: a tube type by any number, a model of set or unit, a kind of book, a
    mark with evidence. ``mark``: military or civilian, where it is to be of another than the text itself says.
    ``own``: whether the house's own purchases and sales count; without, nothing of the answer rests on them.

    Raises ValueError for a text that names nothing, a grade or a currency that is none.
    """
    if grade and grade not in GRADES:
        raise ValueError(f"{grade!r} is no grade; expected one of {', '.join(GRADES)}")
    known = knowledge()
    name, subject, fault = named(text, known)
    asked: Any = {"basis": basis, "real": real, "sets": subject.what in EQUIPMENT, "own": own}
    mark = mark or (MILITARY if subject.what == TUBE and mark_of(text, name, known) == MILITARY else "")
    if weighting is None:
        market = levels(currency, on, **asked)
        rows = priced(currency, on, **asked, found=columns_of(sales(evidence_for(subject, known), own=own)))
    else:
        market = rows = priced(currency, on, **asked, weighting=weighting)
    if fault is not None and subject not in market.subjects:
        raise fault
    return of_subject(market, rows, name, subject, grade, mark)


def named(text: str, known: Knowledge) -> tuple[str, Subject, ValueError | None]:
    """What a text names, as what it is valued, and why it is no type where it is a mark that settles none.

    A set, unit or book of that very name goes before a number in it: "Petrel 40" is no tube 40. Raises ValueError with
    one line where it cannot even be a mark.
    """
    if found := equipment_named(text, known):
        return found.name, Subject(WHAT[found.field], found.name), None
    try:
        name = type_named(text, known)
    except ValueError as fault:
        if (mark := mark_subject(text, known)) is None:
            raise
        return text.strip(), mark, fault
    return name, tube_subject(name, known), None


def of_subject(
    market: Levels, its: Priced, name: str, subject: Subject, grade: str = "", mark: str = ""
) -> Estimate:  # fmt: skip
    """The answer for one thing by the levels of all evidence. ``its``: evidence in which all of its own is.

    Without a grade, for the commonest of the evidence, of a set or unit for the commonest of its own; without a mark
    for the commonest mark.
    """
    number, currency = market.subjects.get(subject), market.currency
    rows = its.rows_of(subject)
    told = dict(zip(rows, its.brought(rows), strict=True))
    wanted = grade or market.usual_of(subject)
    found = market.values([subject], [wanted], [mark])
    rests = Rests.of(found, _place(wanted))
    reasons = {row: its.reason(row) for row in rows if not its.counts(row)}
    asking = [row for row in reasons if not its.evidence.sold[row] and told[row].price is not None]
    leans = bool(market.fit.markets) and market.fit.market(_place(wanted)).leans
    for row in rows:
        if row not in reasons and (why := rests.left_out(int(its.evidence.grade[row]), leans=leans)):
            reasons[row] = why
    counted = [row for row in rows if row not in reasons]
    known, refused = bool(found.comparables[0]), bool(found.refused[0])
    there, level, shares, brought_down, held_down = known and not refused, None, (0.0,) * 4, False, None
    amount, low, high = (_told(one[0], currency) for one in (found.amount, found.low, found.high))
    if there and number is not None:
        level = _money(found.level_low[0], currency), _money(found.level_high[0], currency)
        of = market.fit.market(_place(wanted))
        shares, brought_down = _shares(of, number), not of.own[number]
        if (uncut := _told(found.uncut[0], currency)) is not None:
            held_down = _grade(int(found.cut[0])), uncut
    factors = market.fit.factors
    borne = factors is None or not grade or _place(grade) >= WORKING or grade in factors.rows("grade")
    as_grade = "" if borne or refused else market.usual(0) or UNSAID
    lent, kind = _lenders(market, number, shares) if there and number is not None else ((), "")
    asked = _grade(rests.grade) or UNSAID, mark
    same = {told[row].sale.type for row in counted} - {name, ""}
    return Estimate(
        name, subject.what, "" if wanted == UNSAID else wanted, bool(grade), as_grade,
        _grade(int(found.bound[0])) if found.bounded[0] else None, _grade(int(found.floor[0])),
        held_down, brought_down, mark, market.basis, market.on, currency, market.real,
        amount, low, high, there and bool(found.interval[0]), level,
        _comparables(market, its, {row: told[row] for row in counted}, asked),
        _comparables(market, its, {row: told[row] for row in asking}, asked),
        tuple((told[row].sale, reasons[row]) for row in rows if row in reasons),
        tuple(sorted(same)), lent, () if known else _sold_relatives(market, subject), kind, shares, market.market,
        factors.factors if factors else (), factors.trend if factors else None,
    )  # fmt: skip


def _place(word: str) -> int:
    """The place of a grade; of none that of what is not said."""
    return GRADES.index(word) if word in GRADES else NOT_SAID


def _grade(place: int) -> str:
    return GRADES[place] if place >= 0 else ""


def _sold_relatives(market: Levels, subject: Subject) -> tuple[tuple[str, int], ...]:
    if subject.what != TUBE:
        return ()
    roots, count = family_names(knowledge()), market.fit.count
    found = {
        other.name: int(count[place])
        for other, place in market.subjects.items()
        if other.what == TUBE and roots.get(other.name) == roots.get(subject.name, subject.name) and count[place]
    }
    return tuple(sorted(found.items()))


def value_backtest(
    currency: str, on: date, weighting: Weighting | None = None, folds: int = FOLDS
) -> BackTest:  # fmt: skip
    """How well estimates do on the evidence in the house: every sale of a tube, set or unit valued from the others."""
    all_sales = columns()
    found = []
    for sets in (False, True):
        one = priced(currency, on, basis=FAIR_MARKET, weighting=weighting, found=all_sales, sets=sets)
        found.append(back_test(one.evidence, one.families, on.toordinal(), weighting, folds=folds))
    return joined(found)


def _told(amount: Any, currency: str) -> Money | None:
    """Of a figure; None of one that is not there."""
    return None if np.isnan(amount) else _money(amount, currency)


def _money(amount: Any, currency: str) -> Money:
    return Money(Decimal(repr(float(amount))), currency).rounded


def _comparables(
    market: Levels, its: Priced, told: Mapping[int, Brought], asked: tuple[str, str]
) -> tuple[Comparable, ...]:  # fmt: skip
    """Those rows by their places, each brought to the grade and mark asked for, the market and day of the answer."""
    rows, factors, evidence = list(told), market.fit.factors, its.evidence
    if not rows:
        return ()
    shift = np.zeros(len(rows))
    if factors is not None:
        there = evidence.only(np.array(rows))
        wanted = market.places([asked[0]], GRADES, 0), market.places([asked[1]], MARKS, 2)
        venue = np.array([market.venue], dtype=np.int8)
        step = market.fit.step
        shift = step(wanted[0], venue, wanted[1], market.on.toordinal()) - step(
            there.grade, there.venue, there.mark, there.day
        )
    prices = evidence.price[rows]
    return tuple(
        Comparable(sale, _money(price, market.currency), _money(level, market.currency))
        for sale, price, level in zip(told.values(), prices, prices * np.exp(shift), strict=True)
    )


def _shares(market: Worked, number: int) -> tuple[float, float, float, float]:
    whole = market.pooled
    return tuple(round(float(one[number]), 3) for one in (whole.own, whole.group, whole.kind, whole.others))  # type: ignore[return-value]


def _lenders(market: Levels, number: int, shares: tuple[float, ...]) -> tuple[tuple[str, ...], str]:
    """Relatives with sales that count, where they lend; and the kind, where that does."""
    families, count = market.families, market.fit.working.own
    relatives: list[str] = []
    if shares[1] >= LENDS:
        for other, place in market.subjects.items():
            if place != number and families.group[place] == families.group[number] and count[place]:
                relatives.append(other.name)
    kind = (market.kinds[families.kind[number]] or "tubes of no known kind") if shares[2] >= LENDS else ""
    return tuple(sorted(relatives)), kind
