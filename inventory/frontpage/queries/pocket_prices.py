"""What the pocket page says of a price that is asked, and of a set, unit or book by what such things go for."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import QuerySet

from inventory.holdings.models import Item
from inventory.house.money import Money
from inventory.pairing.models import Companion, CompanionKind
from inventory.sets.queries import chassis_here, units_here
from inventory.valuation.queries.going import going_of, keepers_currency
from inventory.valuation.queries.money import rates
from inventory.valuation.queries.naming import COMPANION, SET, UNIT, WHAT_OF, Named, equipment_named
from inventory.valuation.queries.subjects import WHAT, Subject
from inventory.valuation.rules.asked_price import grade_at_end, price_alone, price_at_end, unpriced_at_end
from inventory.valuation.rules.goes_for import Going
from inventory.valuation.rules.sale import OF_THE_VALUATION
from tubes.queries import Knowledge, knowledge

WRITE = "write 25, 25 EUR or 4 for 60 EUR"


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked for, and the price for one: ``here`` in the keeper's currency, by ``rates`` where it was another.

    ``refused``: why a price that was written cannot be weighed. ``grade``: of which it is asked, where that is written.
    """

    text: str
    price: Money | None = None
    here: Money | None = None
    rates: str = ""
    refused: str = ""
    grade: str = ""

    def verdict(self, found: Going | None) -> str:
        """What the price is beside what such a thing goes for; empty where no price was said."""
        if self.here is None or found is None:
            return ""
        return found.verdict(self.here)

    @property
    def converted(self) -> str:
        """What the price is in the keeper's currency, and by which rates; empty where it is in that already."""
        return f"{self.price} is {self.here}: {self.rates}." if self.rates else ""


def asked_for(text: str, beside: str, on: date) -> Asked:
    """A text that may end in a price, with what may be written beside it; a bare figure is in the keeper's currency."""
    what, price = (text, None) if beside.strip() else price_at_end(text)
    refused = ""
    if beside.strip() and (price := price_alone(beside, keepers_currency())) is None:
        refused = f"{beside.strip()[:40]} cannot be read as a price; {WRITE}"
    elif price is None and (odd := _no_price(text)):
        what, refused = odd
    what, grade = grade_at_end(what)
    if price is None:
        return Asked(what, refused=refused, grade=grade)
    try:
        found = rates().convert(price, keepers_currency(), on, OF_THE_VALUATION)
    except ValueError as why:
        return Asked(what, price, refused=f"{price} cannot be weighed: {why}", grade=grade)
    return Asked(what, price, found.money, "; ".join(map(str, found.rates)), grade=grade)


def _no_price(text: str) -> tuple[str, str] | None:
    """What stands before a figure that could be meant as a price and is none, and why it is none. A bare figure may be
    part of a number (VT 231): it is one only where without it the same is named.
    """
    odd = unpriced_at_end(text)
    if odd is None:
        return None
    named = _names(grade_at_end(odd.what)[0])
    if odd.bare and not (named and _names(text) in (set(), named)):
        return None
    if odd.nothing:
        return odd.what, f"{odd.written} is no price: one is more than nothing; {WRITE}"
    return (
        odd.what,
        f"{odd.written} bears no currency and is read as no price; write {odd.written} {keepers_currency()}",
    )


def _names(text: str) -> set[str]:
    """The types, set, unit or book that a text names."""
    known = knowledge()
    named = equipment_named(text, known)
    return {named.name} if named else {one.type for one in known.read(text).readings if one.type}


@dataclass(frozen=True, slots=True)
class Equipment:
    """A set, unit or book that is named: how many are here, with their tags, and what such a one goes for."""

    name: str
    address: str
    here: tuple[tuple[str, str], ...]  # tag and address
    going: Going
    verdict: str


def equipment_card(
    text: str, item: Item | None, asked: Asked, on: date, known: Knowledge, *, money: bool = True
) -> Equipment | None:  # fmt: skip
    """The set, unit or book that a text names, or whose tag was scanned; None where it is none. ``money``: as there."""
    named = _of_item(item) if item else equipment_named(text, known)
    if named is None or named.field not in _HERE:
        return None
    found = going_of(Subject(WHAT[named.field], named.name), on, known, own=money)
    address = "" if isinstance(named.row, CompanionKind) else named.row.get_absolute_url()
    here = tuple((row.item.tag, row.item.get_absolute_url()) for row in _HERE[named.field](named.row))
    return Equipment(named.name, address, here, found, asked.verdict(found))


def _companions_here(kind: Any) -> QuerySet[Any]:
    return Companion.objects.filter(kind=kind, item__gone_on__isnull=True).select_related("item")


#: What of a model is here, by the field of evidence.
_HERE: dict[str, Callable[[Any], QuerySet[Any]]] = {
    SET: lambda model: chassis_here().filter(model=model),
    UNIT: lambda model: units_here().filter(model=model),
    COMPANION: _companions_here,
}


def _of_item(item: Item) -> Named | None:
    for name, way in (("chassis", "model"), ("pluginunit", "model"), ("companion", "kind")):
        if thing := getattr(item, name, None):
            row = getattr(thing, way)
            return Named(WHAT_OF[type(row)], row)
    return None
