"""Facts that somebody enters beside those that came with a list, and facts struck out."""

from dataclasses import asdict
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.models import Fact, Item
from inventory.holdings.rules.facts import FIGURES, MONEY, FoundFact, read_fact
from inventory.house.currencies import currency_refused
from inventory.house.writing import person_or_none, refuse, write


@transaction.atomic
def add_facts(
    item: Item, about: str, text: str, *, by: Any, today: date, unit: str = "", instrument: str = "",
    currency: str = "", order: str | None = None, as_found: bool = False,
) -> list[Fact]:  # fmt: skip
    """Write what was found; reading/minimum makes two facts. What cannot be read is refused unless ``as_found``."""
    if not text.strip():
        raise refuse("text", "Write what stands there.")
    if refused := currency_refused(currency):
        raise refuse("currency", refused)
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
    return [write(Fact(item=item, by=person_or_none(by), **asdict(fact)), by=by) for fact in found]


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
