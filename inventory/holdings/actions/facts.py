"""Facts that somebody enters beside those that came with a list, and facts struck out."""

from dataclasses import asdict, replace
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.register import check_day
from inventory.holdings.models import Fact, Item
from inventory.holdings.queries.facts import bearer_of
from inventory.holdings.rules.dates import DAY
from inventory.holdings.rules.facts import FIGURES, INSURED, MONEY, OWN_NUMBER, FoundFact, read_fact
from inventory.house.currencies import currency_refused
from inventory.house.writing import person_or_none, refuse, write


@transaction.atomic
def add_facts(
    item: Item, about: str, text: str, *, by: Any, today: date, unit: str = "", instrument: str = "",
    currency: str = "", order: str | None = None, as_found: bool = False, basis: str = "", dated: date | None = None,
    reason: str = "",
) -> list[Fact]:  # fmt: skip
    """Write what was found; reading/minimum makes two facts. What cannot be read is refused unless ``as_found``.

    A value is refused without its ``basis`` and the day of which it is; a number of the keeper's that another thing
    bears or bore, also one that left, is refused: a number is given once.
    """
    if not text.strip():
        raise refuse("text", "Write what stands there.")
    if refused := currency_refused(currency):
        raise refuse("currency", refused)
    _check_value(about, basis, dated, today)
    if about == OWN_NUMBER:
        _check_number(item, text)
    found, remark = read_fact(
        about, text, today=today, unit=unit, instrument=instrument.strip(), currency=currency, order=order or None
    )
    if remark is not None and not as_found:
        then = f"{remark.action[0].upper()}{remark.action[1:]}, or" if remark.action else "Write it another way, or"
        raise refuse(
            "text", f"{text.strip()[:60]}: {remark.why or remark.reason}. {then} tick that it is kept as found."
        )
    for fact in found:
        _check(fact, unit=unit, currency=currency)
    if about == INSURED:
        found = tuple(replace(one, basis=basis.strip(), first=dated, last=dated, precision=DAY) for one in found)
    return [write(Fact(item=item, by=person_or_none(by), **asdict(fact)), by=by, reason=reason) for fact in found]


def _check_value(about: str, basis: str, dated: date | None, today: date) -> None:
    """Refuse a value of which nobody says what it rests on and of which day it is (laws.md L10.4), and say what bears
    no basis.
    """
    if about != INSURED:
        if basis.strip() or dated:
            field = "basis" if basis.strip() else "dated"
            raise refuse(field, "Only an insured value has a basis and a day of its own; leave this empty.")
        return
    if not basis.strip():
        raise refuse("basis", "Say what the value rests on: replacement, market value, agreed with the insurer.")
    check_day(dated, "dated", today)


def _check_number(item: Item, text: str) -> None:
    """Refuse a number of the keeper's own that was given before, as tags are (laws.md L10.1)."""
    if other := bearer_of(text, but=item):
        left = f", which left on {other.gone_on}" if other.gone_on else ""
        raise refuse("text", f"{text.strip()[:60]} is the own number of {other.tag}{left}; a number is given once.")


def _check(fact: FoundFact, *, unit: str, currency: str) -> None:
    """Refuse a figure without a scale, and what the text says against the fields beside it."""
    if fact.about in FIGURES and fact.figure and not (fact.unit or fact.instrument):
        raise refuse("instrument", "Name the unit or the instrument: figures of two scales are never set side by side.")
    if fact.about in MONEY and currency and fact.value is not None and fact.currency not in ("", currency):
        raise refuse("currency", f"The text says {fact.currency}, this says {currency}; leave one of them out.")
    if fact.figure and unit and not fact.unit:
        raise refuse("unit", f"A figure of {fact.instrument} has a scale of its own; leave the unit out.")
    if fact.figure and unit and fact.unit != unit:
        raise refuse("unit", f"The text says {fact.unit}, this says {unit}; leave one of them out.")
