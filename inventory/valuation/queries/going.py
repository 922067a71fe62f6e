"""What a tube goes for, quickly and for many types at once: fair range, last sales, and what one may cost at most."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
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
from inventory.valuation.queries.pricing import Levels, priced
from inventory.valuation.queries.sales import Of, sales
from inventory.valuation.queries.states import state_of_rows
from inventory.valuation.queries.subjects import Subject, tube_subject
from inventory.valuation.rules.bases import FAIR_MARKET, REPLACEMENT
from inventory.valuation.rules.top_price import End, Gap, end_of
from tubes.queries import Knowledge, knowledge
from tubes.queries.keeping import kept

USUAL = "EUR"
GOOD, UNUSED = "used tested good", "unused"
LAST = 3


@dataclass(frozen=True, slots=True)
class Band:
    """What a tube of a grade goes for. ``interval``: eight in ten such sales; else the range of the few there are."""

    grade: str
    low: Money
    amount: Money
    high: Money
    interval: bool


@dataclass(frozen=True, slots=True)
class LastSale:
    """A sale that counts: ``price`` of one, with the buyer's premium, at the rate of its day."""

    on: date
    venue: str
    grade: str
    price: Money


@dataclass(frozen=True, slots=True)
class TopPrice:
    """What one may cost at most. ``band``: of a good one, delivered; ``comparables``: how many sales it rests on."""

    price: Money
    end: End
    reason: str
    band: Band
    gap: Gap
    comparables: int

    @property
    def text(self) -> str:
        """The reasons, in one sentence."""
        rests = f"{self.comparables} sale{'s' * (self.comparables != 1)}"
        of = "where eight in ten sales lie" if self.band.interval else "the range of its sales"
        told = f"{self.band.low.figure} to {self.band.high.figure}, {of} ({rests}), {GOOD}, delivered"
        return f"{self.reason}: the {self.end} of {told}"

    def as_dict(self) -> dict[str, Any]:
        return {
            "top_price": self.price.figure, "currency": self.price.currency, "end": str(self.end), "text": self.text,
            "low": self.band.low.figure, "amount": self.band.amount.figure, "high": self.band.high.figure,
            "interval": self.band.interval, "comparables": self.comparables, "basis": REPLACEMENT,
            "positions": self.gap.positions, "wanting": self.gap.wanting, "good_spares": self.gap.spares,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Going:
    """What one type goes for. ``bands``: fair, of a good used one and an unused one; none without evidence."""

    name: str
    currency: str
    comparables: int
    bands: tuple[Band, ...]
    top: TopPrice | None
    last: tuple[LastSale, ...] = ()

    @property
    def range_text(self) -> str:
        """The fair range in a line; empty without evidence."""
        if not self.bands:
            return ""
        told = [f"{band.low.figure} to {band.high.figure} {self.currency} {band.grade}" for band in self.bands]
        if len(self.bands) > 1 and _alike(*self.bands):
            told = [f"{self.bands[0].low.figure} to {self.bands[0].high.figure} {self.currency}, good or unused"]
        of = f"{self.comparables} sale{'s' * (self.comparables != 1)}"
        return f"{'; '.join(told)} ({f'8 in 10 of {of}' if self.bands[0].interval else f'range of {of}'})"

    @property
    def last_text(self) -> str:
        """The last sales in a line; empty where there are none."""
        return "; ".join(
            " ".join(filter(None, (f"{one.on:%Y-%m-%d}", one.venue, f"{one.price.figure},", one.grade)))
            for one in self.last
        )

    def as_dict(self) -> dict[str, Any]:
        return {
            "type": self.name, "currency": self.currency, "comparables": self.comparables,
            "fair": [
                {"grade": band.grade, "low": band.low.figure, "amount": band.amount.figure, "high": band.high.figure,
                 "interval": band.interval}
                for band in self.bands
            ],
            "last": [
                {"date": str(one.on), "venue": one.venue or None, "grade": one.grade or None,
                 "price": one.price.figure}
                for one in self.last
            ],
        } | (self.top.as_dict() if self.top else {"top_price": None, "text": NO_EVIDENCE})  # fmt: skip


NO_EVIDENCE = "no evidence of a sale, so no figure"


def _alike(one: Band, other: Band) -> bool:
    return (one.low, one.high) == (other.low, other.high)


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
    names: Iterable[str], on: date, *, currency: str = "", last: int = LAST, known: Knowledge | None = None
) -> dict[str, Going]:  # fmt: skip
    """By name of a type what it goes for (a fixed number of queries, none of which reads all evidence where levels are
    kept). ``currency``: that of the keeper, if not given; ``last``: how many sales are told. Raises ValueError.
    """
    known = known or knowledge()
    currency = currency or keepers_currency()
    subjects = {name: tube_subject(name, known) for name in dict.fromkeys(names)}
    if not subjects:
        return {}
    fair, delivered = (levels(currency, on, basis=basis) for basis in (FAIR_MARKET, REPLACEMENT))
    every = list(dict.fromkeys(subjects.values()))
    goods, unused = _bands(fair, every, GOOD), _bands(fair, every, UNUSED)
    tops, count = _bands(delivered, every, GOOD), _comparables(delivered, every)
    gaps = gaps_of([one for one in every if one in tops], known)
    sold = _last_sales(every, currency, on, last, known) if last else {}
    found = {}
    for name, subject in subjects.items():
        bands = tuple(some[subject] for some in (goods, unused) if subject in some)
        top = None
        if subject in tops:
            band, gap = tops[subject], gaps[subject]
            end, reason = end_of(gap)
            price = {End.HIGH: band.high, End.MIDDLE: band.amount, End.LOW: band.low}[end]
            top = TopPrice(price, end, reason, band, gap, count[subject])
        found[name] = Going(name, currency, count.get(subject, 0), bands, top, tuple(sold.get(subject, ())))
    return found


def top_prices(wants: Iterable[Want], on: date) -> dict[int, TopPrice]:
    """By key of a want what one may cost at most: in the currency of its own price, else in the keeper's.

    A want that is no tube type, or of which there is no evidence, is left out. A fixed number of queries for each
    currency.
    """
    by_currency: dict[str, list[Want]] = defaultdict(list)
    for want in wants:
        if want.type is not None:
            by_currency[want.currency if is_currency(want.currency) else ""].append(want)
    found = {}
    for currency, some in by_currency.items():
        told = going([want.type.name for want in some if want.type], on, currency=currency, last=0)
        for want in some:
            if want.type and (top := told[want.type.name].top):
                found[want.pk] = top
    return found


def _bands(market: Levels, subjects: Sequence[Subject], grade: str) -> dict[Subject, Band]:
    found = market.values(subjects, [grade] * len(subjects))
    columns = (found.low, found.amount, found.high, found.interval, found.comparables * ~found.refused)
    told = {}
    for subject, *figures, interval, count in zip(subjects, *(one.tolist() for one in columns), strict=True):
        if count:
            low, amount, high = (_money(one, market.currency) for one in figures)
            told[subject] = Band(grade, low, amount, high, interval)
    return told


def _comparables(market: Levels, subjects: Sequence[Subject]) -> dict[Subject, int]:
    count = market.fit.count
    return {one: int(count[market.subjects[one]]) for one in subjects if one in market.subjects}


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
    subjects: Sequence[Subject], currency: str, on: date, most: int, known: Knowledge
) -> Mapping[Subject, list[LastSale]]:  # fmt: skip
    names = {name for one in subjects for name in (*known.kin.same_as(one.name), one.name)}
    its = priced(currency, on, basis=FAIR_MARKET, found=columns_of(sales(Of(types=names))))
    found = {}
    for subject in its.subjects:
        rows = [row for row in its.rows_of(subject) if its.counts(row)][-most:]
        found[subject] = [
            LastSale(one.sale.on, one.sale.venue, one.sale.grade, Money(one.price, currency).rounded)
            for one in reversed(its.brought(rows))
            if one.price is not None
        ]
    return found
