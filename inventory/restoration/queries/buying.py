"""What to buy first for a plan under a budget: prices from the want list and from what was paid or asked."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import ROUND_DOWN, Decimal, InvalidOperation
from statistics import median
from typing import Any

from django.utils import timezone

from inventory.holdings.models import Fact
from inventory.holdings.queries.wants import wants_by_type
from inventory.holdings.rules.facts import ASKED, PAID
from inventory.holdings.rules.prices import EACH
from inventory.house.currencies import is_currency, no_currency
from inventory.house.lists_out import NO_MONEY
from inventory.restoration.queries.answer import Readiness
from inventory.restoration.rules.buying import Closing, Gap, Line, Order, buying_order, close_gaps
from inventory.restoration.rules.demand import percent
from inventory.valuation.queries.going import going
from inventory.valuation.rules.goes_for import TopPrice
from tubes.queries import knowledge
from tubes.rules.units import with_point


@dataclass(frozen=True)
class Price:
    """What one may cost, and where that is from, in words."""

    amount: Decimal
    source: str


@dataclass(frozen=True)
class Bought:
    """So many of a type at a price each."""

    type: str
    number: int
    price: Decimal


@dataclass(frozen=True)
class Row:
    """One thing to buy: what is spent and left then, how sure the spares are before and then. ``gap``: it closes an
    empty position, which makes no spare; ``little``: neither it nor what comes behind it brings much.
    """

    name: str
    price: Decimal
    spent: Decimal
    left: Decimal
    before: float
    after: float
    gap: bool = False
    little: bool = False

    @property
    def before_percent(self) -> str:
        return percent(self.before)

    @property
    def after_percent(self) -> str:
        return percent(self.after)


@dataclass(frozen=True)
class BuyingOrder:
    """The order with the prices it rests on; ``currency`` is that of the budget. ``closing``: positions that nothing
    covers, closed out of the budget first where ``gaps_first`` says so, else beside it; ``asked``: how sure the spares
    should be. ``tops``: by type what one may cost at most by the estimate, whatever the price that is counted with.
    ``money``: whether prices of the house are seen; without, there is no step.
    """

    order: Order
    prices: dict[str, Price]
    currency: str
    closing: Closing
    gaps_first: bool = False
    asked: float = 1.0
    tops: dict[str, TopPrice] = field(default_factory=dict)
    money: bool = True

    @property
    def rows(self) -> list["Row"]:
        """Every step in the order in which to buy, with what was spent by then: gaps first where they are closed out of
        the budget, else spares alone.
        """
        spent, told = Decimal(0), []
        budget = self.order.left + sum((step.price for step in self.order.steps), Decimal(0))
        if self.gaps_first:
            budget += self.on_gaps
            for name, price in self.closing.steps:
                spent += price
                told.append(Row(name, price, spent, budget - spent, self.order.before, self.order.before, True))
        for number, step in enumerate(self.order.steps):
            spent += step.price
            little = number >= self.order.worth
            told.append(Row(step.name, step.price, spent, budget - spent, step.before, step.after, little=little))
        return told

    @property
    def on_gaps(self) -> Decimal:
        """What closing gaps costs."""
        return sum((price for _, price in self.closing.steps), Decimal(0))

    @property
    def text(self) -> str:
        """What the budget goes to, in sentences."""
        spares, spent = len(self.order.steps), self.rows[-1].spent if self.rows else Decimal(0)
        bought = f"{spares} spare{'s' * (spares != 1)}"
        if self.gaps_first:
            bought = f"{len(self.closing.steps)} for empty positions ({self.on_gaps} {self.currency}), then {bought}"
        text = f"{bought}: {spent} {self.currency} spent, {self.order.left} {self.currency} left of the budget."
        if self.closing.steps and not self.gaps_first:
            text += (
                f" Closing empty positions comes on top: {self.on_gaps} {self.currency} that this budget does not pay, "
                "unless they are closed first."
            )
        if self.closing.open:
            text += f" Positions that stay open, beyond the budget or without a known price: {self.closing.open}."
        return f"{text} {self.nothing_priced or self.worth_text}"

    @property
    def nothing_priced(self) -> str:
        """That nothing could be weighed, in a sentence; empty where a price of anything is known in this currency."""
        if self.prices or not self.order.no_price:
            return ""
        if not self.money:
            return f"Nothing was weighed: {NO_MONEY}"
        return f"No price in {self.currency} is known of any spare, so none was weighed; nothing is converted."

    @property
    def worth_text(self) -> str:
        """When the spares are as sure as was asked, and from where on money brings next to nothing, in sentences."""
        order, asked = self.order, f"{100 * self.asked:g} %"
        reached = order.reached(self.asked)
        steps = order.steps[:reached]
        told = f"The {asked} asked are not reached: {percent(order.after)} % then."
        if reached == 0:
            told = f"The {asked} asked are there without any spare more."
        elif reached:
            spent = sum((step.price for step in steps), Decimal(0))
            told = f"The {asked} asked are reached with spare {reached}, {spent} {self.currency} on spares."
        if little := order.steps[order.worth :]:
            cost = sum((step.price for step in little), Decimal(0))
            gain = 100 * (little[-1].after - little[0].before)
            told += (
                f" From spare {order.worth + 1} on each raises the chance by less than a thousandth of it: "
                f"{cost} {self.currency} for {gain:.2f} points in all."
            )
        return told

    @property
    def counts(self) -> list["Bought"]:
        """How many of each type all steps come to, gaps first, in the order of the first of each."""
        told: dict[str, list[Any]] = {}
        for name, price in (*self.closing.steps, *((step.name, step.price) for step in self.order.steps)):
            told.setdefault(name, [0, price])[0] += 1
        return [Bought(name, number, price) for name, (number, price) in told.items()]

    @property
    def offered(self) -> list[tuple["Bought", bool]]:
        """The same in two where some of a type bring next to nothing: those, and whether they are worth their price."""
        little = Counter(step.name for step in self.order.steps[self.order.worth :])
        told = []
        for one in self.counts:
            for number, worth in ((one.number - little[one.type], True), (little[one.type], False)):
                told += [(Bought(one.type, number, one.price), worth)] if number else []
        return told

    @property
    def sources(self) -> list[tuple[str, Price]]:
        """The price of each type that is bought, and where it is from."""
        return [(one.type, self.prices[one.type]) for one in self.counts]

    def as_dict(self) -> dict[str, Any]:
        return {
            "steps": [
                {
                    "buy": step.name, "price": str(step.price), "assurance_before": step.before,
                    "assurance_after": step.after, "price_from": self.prices[step.name].source,
                }
                for step in self.order.steps
            ],
            "left": str(self.order.left),
            "currency": self.currency,
            "assurance": self.order.after,
            "no_price": list(self.order.no_price),
            "asked": self.asked,
            "reached_with": self.order.reached(self.asked),
            "worth": self.order.worth,
            "gaps": [
                {"buy": name, "price": str(price), "price_from": self.prices[name].source}
                for name, price in self.closing.steps
            ],
            "open_gaps": self.closing.open,
            "gaps_first": self.gaps_first,
            "gaps_price": str(self.on_gaps),
            "top_prices": [{"type": name} | top.as_dict() for name, top in self.tops.items()],
            "gaps_on_top": bool(self.closing.steps) and not self.gaps_first,
            "text": self.text,
        }  # fmt: skip


def parse_budget(text: str) -> tuple[Decimal, str]:
    """An amount with its currency, such as 250 EUR. Raises ValueError."""
    wanted = "expected an amount and an ISO 4217 code, such as 250 EUR"
    parts = text.split()
    if len(parts) != 2:
        raise ValueError(f"budget {text!r}: {wanted}")
    figure, code = parts if parts[1].isalpha() else parts[::-1]
    try:
        amount = Decimal(with_point(figure))
    except InvalidOperation as fault:
        raise ValueError(f"budget {text!r}: {figure!r} is no amount; {wanted}") from fault
    if not (code.isascii() and is_currency(code.upper())):
        raise ValueError(f"budget {text!r}: {no_currency(code)}; {wanted}")
    if not amount.is_finite() or not 0 <= amount < Decimal(10) ** 9:
        raise ValueError(f"budget {text!r}: expected 0 or more, below a thousand million")
    places = min(max(int(amount.as_tuple().exponent), -2), 0)  # neither 1E+5 nor -0, and no less than a hundredth
    return abs(amount.quantize(Decimal(10) ** places, ROUND_DOWN)), code.upper()


def prices_of(names: Iterable[str], currency: str) -> dict[str, Price]:
    """What a tube of each type costs, in one currency: the top price of the want list, else the median of what was
    paid or asked for one of the type or the same under another number. Nothing is converted.
    """
    known = knowledge()
    kin = {name: known.kin.same_as(name) | {name} for name in names}
    every = set().union(*kin.values()) if kin else set()
    wants = wants_by_type(every)
    rows = Fact.objects.filter(
        item__tube__type__name__in=every, about__in=(PAID, ASKED), per=EACH, currency=currency, struck="", value__gt=0
    )
    told: dict[str, list[Decimal]] = {}
    for name, value in rows.values_list("item__tube__type__name", "value"):
        told.setdefault(name, []).append(value or Decimal(0))
    found = {}
    for name, same in kin.items():
        tops = [w.top_price for one in same for w in wants.get(one, []) if w.top_price and w.currency == currency]
        paid = [value for one in same for value in told.get(one, [])]
        if tops:
            found[name] = Price(min(tops), "top price of the want list")
        elif paid:
            many = f"{len(paid)} price{'s' * (len(paid) != 1)}"
            found[name] = Price(_in_cents(Decimal(median(paid))), f"median of {many} on record here")
    return found


def _in_cents(price: Decimal) -> Decimal:
    """A price to the hundredth, of one below that the hundredth itself: nothing is bought for nothing."""
    return max(price.quantize(Decimal("0.01")), Decimal("0.01"))


def what_to_buy(found: Readiness, budget: str, *, gaps_first: bool = False, money: bool = True) -> BuyingOrder:
    """What to buy first for what was asked about. ``gaps_first``: positions that nothing covers are closed out of the
    budget, and spares are bought for the rest. ``money``: whether whoever asks sees the house's own prices
    (``house.access.may_see_money``); else nothing is weighed, and only what the market tells is told. Raises
    ValueError.
    """
    amount, currency = parse_budget(budget)
    types = found.assured.types
    prices = prices_of([one.type for one in types], currency) if money else {}

    def price(name: str) -> Decimal | None:
        return prices[name].amount if name in prices else None

    closing = close_gaps([Gap(one.type, one.gaps, price(one.type)) for one in types if one.gaps], amount)
    lines = [Line(one.type, one.demand, one.spares, price(one.type), one.in_use, one.needed) for one in types]
    order = buying_order(lines, closing.left if gaps_first else amount)
    told = going([one.type for one in types], timezone.localdate(), currency=currency, last=0, own=money)
    tops = {name: one.top for name, one in told.items() if one.top}
    return BuyingOrder(order, prices, currency, closing, gaps_first, found.assured.wanted, tops, money)
