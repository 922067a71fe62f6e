"""What one thing of the register is worth, in a line of its own page."""

from dataclasses import dataclass

from django.utils import timezone

from inventory.holdings.models import Item, Tube
from inventory.house.money import Money
from inventory.valuation.queries.estimates import estimate
from inventory.valuation.queries.going import keepers_currency
from inventory.valuation.queries.things import said_by_tests
from inventory.valuation.rules.own import grade_of


@dataclass(frozen=True, slots=True)
class WorthLine:
    """Fair market value of one such thing by itself, of the grade that it has today; ``amount`` None: no evidence."""

    name: str
    grade: str
    amount: Money | None
    spread: str


def worth_line(item: Item) -> WorthLine | None:
    """None of what is no tube and no set, unit or book, of what has left, and of what is valued by no evidence."""
    today = timezone.localdate()
    name, grade = _named(item)
    if not name or item.gone_on:
        return None
    try:
        found = estimate(name, on=today, grade=grade, currency=keepers_currency())
    except ValueError:
        return None
    ends = f"{found.low.figure} to {found.high.figure}" if found.low and found.high else "no ends"
    of = "where eight in ten such sales lie" if found.interval else "the range of its sales"
    return WorthLine(name, grade, found.amount, f"{ends}, {of}")


def _named(item: Item) -> tuple[str, str]:
    """What it goes by the prices of, and its grade of today; empty for what no evidence can be of."""
    if tube := getattr(item, "tube", None):
        doubts, passed = said_by_tests([item.pk], [item.pk] if tube.state == Tube.UNTESTED else [])
        against = doubts[item.pk].word if item.pk in doubts else ""
        grade = grade_of(tube.state, tube.condition, against, passed=item.pk in passed)
        return tube.type.name if tube.type else tube.marked, grade
    for row, way in (("chassis", "model"), ("pluginunit", "model"), ("companion", "kind")):
        if thing := getattr(item, row, None):
            return str(getattr(thing, way)), ""
    return "", ""
