"""What a tube goes for, quickly and for many types at once: fair range, last sales, and what one may cost at most."""

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Count

from inventory.holdings.models import Fact, Want
from inventory.holdings.queries import open_wants
from inventory.holdings.rules.facts import INSURED, PAID
from inventory.house.currencies import is_currency
from inventory.house.money import Money
from inventory.sets.queries import good_by_type
from inventory.sets.queries.needs import needs_of
from inventory.valuation.queries.columns import columns_of
from inventory.valuation.queries.keeping import levels
from inventory.valuation.queries.pricing import UNSAID, Levels, Priced, priced
from inventory.valuation.queries.sales import Of, sales
from inventory.valuation.queries.states import state_of_rows
from inventory.valuation.queries.subjects import Subject, evidence_for, tube_subject
from inventory.valuation.rules.bases import FAIR_MARKET, REPLACEMENT
from inventory.valuation.rules.evidence import UNDATED
from inventory.valuation.rules.goes_for import GOOD, UNUSED, Band, Going, LastSale, TopPrice, Uncounted
from inventory.valuation.rules.sale import Brought
from inventory.valuation.rules.top_price import End, Gap, end_of
from tubes.queries import Knowledge, knowledge
from tubes.queries.keeping import kept

USUAL = "EUR"
LAST = 3


def keepers_currency() -> str:
    """The currency in which most of the keeper's own prices are: paid, insured, wanted; EUR where there are none."""
    return kept("keeper's currency", _commonest, lambda: state_of_rows((Fact, Want)))


def _commonest() -> str:
    count: Counter[str] = Counter()
    facts = Fact._base_manager.filter(struck="", about__in=(PAID, INSURED), value__gt=0)
    for rows in (facts, open_wants()):
        told: Any = rows.exclude(currency="").order_by().values_list("currency").annotate(Count("pk"))
        count.update({code: many for code, many in told if is_currency(code)})
    return min(count, key=lambda code: (-count[code], code)) if count else USUAL


def going(
    names: Iterable[str], on: date, *, currency: str = "", last: int = LAST, known: Knowledge | None = None,
    grade: str = "", own: bool = True,
) -> dict[str, Going]:  # fmt: skip
    """By name of a type what it goes for (a fixed number of queries, none of which reads all evidence where levels are
    kept). ``currency``: that of the keeper, if not given; ``last``: how many sales are told; ``grade``: the fair range
    is of that one alone; ``own``: whether the house's own purchases and sales count. Raises ValueError.
    """
    known = known or knowledge()
    currency = currency or keepers_currency()
    subjects = {name: tube_subject(name, known) for name in dict.fromkeys(names)}
    if not subjects:
        return {}
    fair, delivered = (levels(currency, on, basis=basis, own=own) for basis in (FAIR_MARKET, REPLACEMENT))
    every = list(dict.fromkeys(subjects.values()))
    fairs = [_bands(fair, every, one) for one in ([grade] if grade else [GOOD, UNUSED])]
    tops, count = _bands(delivered, every, GOOD), _comparables(delivered, every, GOOD)
    many = _comparables(fair, every, grade) if grade else count
    gaps = gaps_of([one for one in every if one in tops], known)
    sold = _last_sales(every, currency, on, last, known, own=own) if last else {}
    found = {}
    for name, subject in subjects.items():
        bands = tuple(some[subject] for some in fairs if subject in some)
        top = None
        if subject in tops:
            band, gap = tops[subject], gaps[subject]
            end, reason = end_of(gap)
            price = {End.HIGH: band.high, End.MIDDLE: band.amount, End.LOW: band.low}[end]
            top = TopPrice(price, end, reason, band, gap, count[subject])
        latest, uncounted = sold.get(subject, ((), ()))
        found[name] = Going(name, currency, many.get(subject, 0), bands, top, latest, uncounted, grade)
    return found


def going_of(
    subject: Subject, on: date, known: Knowledge, *, currency: str = "", last: int = LAST, own: bool = True
) -> Going:  # fmt: skip
    """What a set, unit or book goes for (a fixed number of queries). ``own``: as in ``going``. Raises ValueError for a
    code of no currency.
    """
    currency = currency or keepers_currency()
    fair = levels(currency, on, basis=FAIR_MARKET, sets=True, own=own)
    usual = fair.usual_of(subject)
    grade = "" if usual == UNSAID else usual
    bands = _bands(fair, [subject], grade)
    found = columns_of(sales(evidence_for(subject, known), own=own))
    its = priced(currency, on, basis=FAIR_MARKET, found=found, sets=True)
    latest, uncounted = _latest(its, its.rows_of(subject), last)
    count = _comparables(fair, [subject], grade).get(subject, 0)
    return Going(subject.name, currency, count, tuple(bands.values()), None, latest, uncounted)


def top_prices(wants: Iterable[Want], on: date, *, own: bool = True) -> dict[int, TopPrice]:
    """By key of a want what one may cost at most: in the currency of its own price, else in the keeper's.

    A want that is no tube type, or of which there is no evidence, is left out. ``own``: as in ``going``. A fixed
    number of queries for each currency.
    """
    by_currency: dict[str, list[Want]] = defaultdict(list)
    for want in wants:
        if want.type is not None:
            by_currency[want.currency if is_currency(want.currency) else ""].append(want)
    found = {}
    for currency, some in by_currency.items():
        told = going([want.type.name for want in some if want.type], on, currency=currency, last=0, own=own)
        for want in some:
            if want.type and (top := told[want.type.name].top):
                found[want.pk] = top
    return found


def _bands(market: Levels, subjects: Sequence[Subject], grade: str) -> dict[Subject, Band]:
    found = market.values(subjects, [grade] * len(subjects))
    columns = (found.low, found.amount, found.high, found.interval, found.comparables * ~found.refused)
    told = {}
    for subject, *figures, interval, count in zip(subjects, *(one.tolist() for one in columns), strict=True):
        if count and all(map(math.isfinite, figures)):
            low, amount, high = (_money(one, market.currency) for one in figures)
            told[subject] = Band(grade, low, amount, high, interval)
    return told


def _comparables(market: Levels, subjects: Sequence[Subject], grade: str) -> dict[Subject, int]:
    found = market.values(subjects, [grade] * len(subjects)).comparables
    return {one: many for one, many in zip(subjects, found.tolist(), strict=True) if many}


def _money(amount: float, currency: str) -> Money:
    return Money(Decimal(repr(float(amount))), currency).rounded


def gaps_of(subjects: Sequence[Subject], known: Knowledge) -> dict[Subject, Gap]:
    """Of each tube how far sets here want for it (a fixed number of queries)."""
    names = {subject: known.kin.same_as(subject.name) | {subject.name} for subject in subjects}
    every = {name for some in names.values() for name in some}
    if not every:
        return {}
    needs, good = needs_of(every), good_by_type(every)
    return {
        subject: Gap(
            sum(len(needs.get(name, ())) for name in some),
            sum(need.needy for name in some for need in needs.get(name, ())),
            sum(good.get(name, 0) for name in some),
        )
        for subject, some in names.items()
    }


def _last_sales(
    subjects: Sequence[Subject], currency: str, on: date, most: int, known: Knowledge, *, own: bool
) -> Mapping[Subject, tuple[tuple[LastSale, ...], tuple[Uncounted, ...]]]:  # fmt: skip
    names = {name for one in subjects for name in (*known.kin.same_as(one.name), one.name)}
    its = priced(currency, on, basis=FAIR_MARKET, found=columns_of(sales(Of(types=names), own=own)))
    return {subject: _latest(its, its.rows_of(subject), most) for subject in its.subjects}


def _latest(its: Priced, rows: list[int], most: int) -> tuple[tuple[LastSale, ...], tuple[Uncounted, ...]]:
    """The last sales that count, newest first, and those sales as late as they that do not."""
    counted = [row for row in rows if its.counts(row)][-most:]
    since = min((its.evidence.day[row] for row in counted), default=UNDATED + 1)
    left = [row for row in rows if not its.counts(row) and its.evidence.sold[row] and its.evidence.day[row] >= since]
    told, count = its.brought([*reversed(counted), *reversed(left[-most:])]), len(counted)
    return (
        tuple(
            LastSale(one.sale.on, one.sale.venue, one.sale.grade, Money(one.price, its.currency).rounded, _own(one))
            for one in told[:count]
            if one.price is not None and one.sale.on is not None
        ),
        tuple(
            Uncounted(one.sale.on, one.sale.each.rounded, its.reason(row), _own(one))
            for one, row in zip(told[count:], reversed(left[-most:]), strict=True)
            if one.sale.on is not None
        ),
    )


def _own(one: Brought) -> str:
    return one.sale.where_from if one.sale.own else ""
