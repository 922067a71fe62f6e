"""What one thing of the register is worth, in a line of its own page."""

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from inventory.holdings.models import Item
from inventory.holdings.queries.record import not_ours
from inventory.house.money import Money
from inventory.valuation.queries.collection import INTERVAL, figures_of
from inventory.valuation.queries.goes_by import goes_by
from inventory.valuation.queries.going import keepers_currency
from inventory.valuation.queries.keeping import levels
from inventory.valuation.queries.subjects import EQUIPMENT, TUBE
from inventory.valuation.queries.things import thing_of
from inventory.valuation.queries.worth import Line
from inventory.valuation.rules.bases import BASES, FAIR_MARKET
from tubes.queries import knowledge


@dataclass(frozen=True, slots=True)
class WorthLine:
    """Fair market value of one such thing by itself, of the grade and with the mark that it has today.

    ``amount`` None: ``no_amount`` says why there is none although there are sales; empty, there is no evidence.
    ``name``, ``grade``, ``mark`` and ``currency`` are what the page of an estimate is asked, to say the same.
    """

    name: str
    grade: str
    mark: str
    stamp: str
    amount: Money | None
    spread: str
    no_amount: str
    basis: str
    on: date
    currency: str


def worth_line(item: Item) -> WorthLine | None:
    """None of what no evidence can be of, of what has left, and of what is here on loan, which is not ours to value."""
    thing = None if item.gone_on or not_ours([item.pk]) else thing_of(item)
    if thing is None:
        return None
    goes, on, currency = goes_by(knowledge())(thing), timezone.localdate(), keepers_currency()
    subject = goes.subject
    if subject is None:
        return None
    sets = subject.what in EQUIPMENT
    market = levels(currency, on, basis=FAIR_MARKET, sets=sets)
    grade = market.usual_of(subject) if sets else thing.grade
    (figures,) = figures_of(market.values([subject], [grade], [goes.mark]))
    line = Line(thing, subject, *figures)
    amount = None if line.amount is None else Money(line.amount, currency)
    of = "where eight in ten such sales lie" if line.spread == INTERVAL else "the range of its sales"
    spread = f"{line.low} to {line.high}, {of}" if amount else ""
    name = thing.type or thing.marked if subject.what == TUBE else subject.name
    return WorthLine(
        name if thing.kind == Item.TUBE else subject.name, thing.grade, goes.mark, goes.stamp, amount, spread,
        line.no_amount, BASES[FAIR_MARKET].title, on, currency,
    )  # fmt: skip
