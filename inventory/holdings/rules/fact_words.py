"""Facts of things in words: what each was read as, and the reading that a label says."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Protocol

from inventory.holdings.rules.dates import AFTER_IT, BEFORE_IT, DAY, MONTH_ONLY, YEAR
from inventory.holdings.rules.facts import DAYS, FIGURES, MINIMUM, MONEY, READING, WEIGHT
from inventory.holdings.rules.prices import EACH, LOT, ROW


class Told(Protocol):
    """A fact, as found or as a row of the register."""

    @property
    def about(self) -> str: ...
    @property
    def text(self) -> str: ...
    @property
    def figure(self) -> str: ...
    @property
    def value(self) -> Decimal | None: ...
    @property
    def unit(self) -> str: ...
    @property
    def instrument(self) -> str: ...
    @property
    def currency(self) -> str: ...
    @property
    def per(self) -> str: ...
    @property
    def of_count(self) -> int | None: ...
    @property
    def first(self) -> date | None: ...
    @property
    def last(self) -> date | None: ...
    @property
    def precision(self) -> str: ...
    @property
    def estimated(self) -> bool: ...
    @property
    def column(self) -> str: ...


def read_as(fact: Told) -> str:
    """What a fact was read as, in words; "" where it was not read."""
    if fact.about in MONEY:
        return _money(fact)
    if fact.about in FIGURES:
        return _on_scale(fact)
    if fact.about == WEIGHT:
        return f"{fact.figure} {fact.unit}" if fact.figure else ""
    return _when(fact) if fact.about in DAYS else ""


def in_a_word(fact: Told) -> str:
    """A fact on one line: what it was read as, else the text as found; with the instrument of a test."""
    words = read_as(fact) or fact.text
    if fact.about in DAYS and fact.instrument and fact.instrument != words:
        words += f", {fact.instrument}"
    return " ".join(words.split())


def _money(fact: Told) -> str:
    if fact.value is None:
        return ""
    amount = f"{plain_number(fact.value, 2)} {fact.currency or '(currency not said)'}"
    if not fact.value and not fact.currency:
        amount = "nothing"
    lot = f"for a lot of {fact.of_count}" if fact.of_count else "for the lot"
    per = {EACH: "each", LOT: lot, ROW: "for the row"}
    return f"{amount} {per.get(fact.per, '')}".strip()


def _on_scale(fact: Told) -> str:
    if not fact.figure:
        return ""
    scale = fact.unit or ("on its scale" if fact.instrument else "(scale not said)")
    words = f"{fact.figure} {scale}"
    if fact.instrument:
        words += f", {fact.instrument}"
    return f"{words}; said of a row of {fact.of_count}" if fact.per == ROW else words


def _when(fact: Told) -> str:
    about = "about " if fact.estimated else ""
    first, last = fact.first, fact.last
    if fact.precision == BEFORE_IT and last:
        return f"{about}before {last + timedelta(days=1)}"
    if fact.precision == AFTER_IT and first:
        return f"{about}{first} or after"
    if not first or not last:
        return ""
    if fact.precision == DAY:
        return f"{about}{first}"
    if fact.precision == MONTH_ONLY:
        return f"{about}{first:%Y-%m}"
    if fact.precision == YEAR and first.year == last.year:
        return f"{about}{first.year}"
    return f"{about}{first:%Y-%m} to {last:%Y-%m}"


def plain_number(value: Decimal, least: int = 0) -> str:
    """A number without trailing zeros; with `least` places where it is not whole."""
    text = f"{value:f}"
    whole, _, part = text.partition(".")
    part = part.rstrip("0")
    return f"{whole}.{part.ljust(least, '0')}" if part else whole


def minimum_beside(reading: Told, facts: Iterable[Told]) -> Told | None:
    """The reject minimum that was said with a reading: on the same scale, and of the same text where it names one.

    With no scale said, only a minimum out of the very same text or the same row of a list is set beside it: a thing
    comes with one row.
    """
    same = [
        fact for fact in facts
        if fact.about == MINIMUM and fact.figure and (fact.unit, fact.instrument) == (reading.unit, reading.instrument)
    ]  # fmt: skip
    beside = [fact for fact in same if fact.text == reading.text or (fact.column and reading.column)]
    named = same if reading.unit or reading.instrument else []
    return next(reversed(beside or named), None)


def reading_on_label(facts: Sequence[Told]) -> str:
    """The last reading of one thing as a carton says it: reading/minimum, unit, instrument; "" where there is none."""
    own = [fact for fact in facts if fact.per != ROW]
    reading = next((fact for fact in reversed(own) if fact.about == READING and fact.figure), None)
    if reading is None:
        return ""
    least = minimum_beside(reading, own)
    figure = f"{reading.figure}/{least.figure}" if least else reading.figure
    return ", ".join(part for part in (f"{figure} {reading.unit}".strip(), reading.instrument) if part)
