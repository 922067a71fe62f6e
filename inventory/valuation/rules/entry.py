"""One row of price evidence as somebody writes it: read into what it says, or into what is wrong with which cell.

Cells are read as those of any keeper's list (``holdings.rules``): decimal commas, dates that can be meant two ways,
what a spreadsheet rewrote. ``amount`` is what was paid or asked for all of ``quantity``, before postage and before the
buyer's premium, which belongs to the price: a lot knocked down at 100 with 18 per cent is 118.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import lru_cache

from inventory.holdings.rules.cells import read_cell, says_nothing, shown
from inventory.holdings.rules.dates import DAY, UNKNOWN, read_date
from inventory.holdings.rules.prices import EACH, LOT, MONEY, currency_of_heading, read_price
from inventory.house.currencies import is_currency, no_currency
from inventory.house.money import Money
from inventory.valuation.rules import words
from inventory.valuation.rules.figures import exact, in_doubt

COLUMNS = (
    "date", "designation", "grade", "kind", "venue", "currency", "amount", "quantity", "premium_pct", "source", "note",
)  # fmt: skip
MORE_COLUMNS = ("postage", "arms_length")
NEEDED = ("date", "designation", "grade", "kind", "currency", "amount")
LONGEST = {"designation": 80, "source": 300, "note": 2000}
LARGEST = Decimal(10) ** 9
MOST, MOST_PREMIUM = 100_000, Decimal(100)
PLACES = Decimal("0.0001")


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with one cell: its column, what stands there, why it cannot be taken."""

    column: str
    found: str
    reason: str


@dataclass(frozen=True, slots=True)
class Entry:
    """A row of evidence that can be written. ``venue`` is empty and the other optional parts are None where not said.

    ``remarks``: what was read by a habit that may be wrong, for whoever typed it.
    """

    on: date
    designation: str
    grade: str
    kind: str
    money: Money
    venue: str = ""
    quantity: int = 1
    premium_pct: Decimal | None = None
    postage: Decimal | None = None
    arms_length: str = words.UNKNOWN
    source: str = ""
    note: str = ""
    remarks: tuple[str, ...] = field(default=(), compare=False)

    @property
    def each(self) -> Money:
        """The price of one, with the buyer's premium and without postage."""
        return price_each(self.money, self.quantity, self.premium_pct)


def price_each(money: Money, quantity: int, premium_pct: Decimal | None) -> Money:
    """What one of a lot cost: the buyer's premium belongs to the price, postage does not."""
    return money * (1 + (premium_pct or Decimal(0)) / 100) / quantity


class _Wrong(ValueError):
    """A cell that cannot be taken; its text is the reason."""


def read_entry(
    cells: Mapping[str, str], today: date, order: str | None = None, signs: frozenset[str] = frozenset()
) -> Entry | tuple[Fault, ...]:
    """Read a row by the names of ``COLUMNS`` and ``MORE_COLUMNS``; never raises. What is not there is empty.

    ``order``: day or month, which comes first in 04/05/2006; None: such a date is refused with both readings.
    ``signs``: what stands before decimals in the other amounts of the list; a figure that contradicts it is refused
    with both readings. All that is wrong comes back at once, in the order of the columns.
    """
    found: dict[str, object] = {}
    faults: list[Fault] = []
    remarks: list[str] = []

    def take(column: str, read: object) -> None:
        cell = cells.get(column) or ""
        try:
            found[column] = read(cell)  # type: ignore[operator]
        except _Wrong as wrong:
            faults.append(Fault(column, cell.strip()[:200], str(wrong)))

    take("date", lambda cell: _day(cell, today, order, remarks))
    take("designation", lambda cell: _text(cell, "designation", needed=True))
    take("grade", lambda cell: _word(cell, words.GRADES, "grade"))
    take("kind", lambda cell: _word(cell, words.KINDS, "kind"))
    take("venue", lambda cell: _word(cell, words.VENUES, "venue", needed=False))
    take("currency", lambda cell: _currency(cell, cells.get("amount") or ""))
    take("quantity", _quantity)
    take("amount", lambda cell: _amount(cell, found.get("currency"), found.get("quantity"), remarks, signs))
    take("premium_pct", lambda cell: _premium(cell, remarks))
    take("postage", lambda cell: _postage(cell, found.get("currency"), remarks, signs))
    take("arms_length", lambda cell: _word(cell or words.UNKNOWN, words.ARMS_LENGTH, "word"))
    take("source", lambda cell: _text(cell, "source"))
    take("note", lambda cell: _text(cell, "note"))
    if faults:
        order_of = (*COLUMNS, *MORE_COLUMNS)
        return tuple(sorted(faults, key=lambda fault: order_of.index(fault.column)))
    on, money = found.pop("date"), Money(found.pop("amount"), found.pop("currency"))  # type: ignore[arg-type]
    return replace(Entry(on=on, money=money, **found), remarks=tuple(remarks))  # type: ignore[arg-type]


def _plain(cell: str) -> str:
    """The text of a cell. Raises where a spreadsheet spoilt it."""
    seen = read_cell(cell)
    if seen.damaged and seen.remark:
        raise _Wrong(f"{seen.remark.reason}; {seen.remark.action}")
    text = " ".join(seen.text.split())
    return "" if says_nothing(text.casefold()) else text


def _text(cell: str, what: str, *, needed: bool = False) -> str:
    text = _plain(cell) if needed else " ".join(cell.split())
    if needed and not text:
        raise _Wrong(f"no {what} is written")
    if len(text) > LONGEST[what]:
        raise _Wrong(f"longer than {LONGEST[what]} letters; shorten it")
    return text


@lru_cache(maxsize=1024)  # a list says the same few words over and over, and the same days
def _word(cell: str, known: tuple[str, ...], what: str, *, needed: bool = True) -> str:
    text = _plain(cell)
    if not text and not needed:
        return ""
    if text.casefold() not in known:
        said = f"{shown(text)} is no {what}" if text else f"no {what} is written"
        raise _Wrong(f"{said}; expected {', '.join(known)}")
    return text.casefold()


_date = lru_cache(maxsize=4096)(read_date)


def _day(cell: str, today: date, order: str | None, remarks: list[str]) -> date:
    found = _date(cell, today, order)
    if found.precision == DAY and found.sure and found.first:
        if found.remark:
            remarks.append(found.remark.reason)
        return found.first
    if found.precision == UNKNOWN:
        raise _Wrong("no date is written")
    if found.remark and not found.read:
        raise _Wrong(f"{found.remark.why or found.remark.reason}; {found.remark.action}")
    raise _Wrong(f"{shown(cell)} names no single day; write the day of the sale")


def _currency(cell: str, amount: str) -> str:
    if not _plain(cell):
        code = read_price(amount).currency
        if is_currency(code):
            return code
        raise _Wrong("no currency is written; write its code such as EUR, USD or GBP")
    return _code(cell)


@lru_cache(maxsize=256)
def _code(cell: str) -> str:
    text = _plain(cell)
    if re.fullmatch("[A-Za-z]{3}", text):
        if not is_currency(text.upper()):
            raise _Wrong(no_currency(text.upper()))
        return text.upper()
    code = currency_of_heading(text)
    if not is_currency(code):
        raise _Wrong(f"{shown(text)} does not say which currency; write its code such as EUR, USD or GBP")
    return code


def _money(
    cell: str, currency: object, remarks: list[str], signs: frozenset[str]
) -> tuple[Decimal, str, int | None]:  # fmt: skip
    if (figure := exact(cell)) is not None:
        return _kept(cell, figure, remarks), "", None
    if both := in_doubt(cell, signs, currency if isinstance(currency, str) else ""):
        raise _Wrong(f"{shown(cell.strip())} can be {both[0]} or {both[1]}; write it with two decimals")
    found = read_price(cell, None, currency=currency if isinstance(currency, str) else "XAU")
    told = found.remark.why or found.remark.reason if found.remark else ""
    if found.kind != MONEY or found.amount is None or found.more or found.open:
        raise _Wrong(told or (f"{shown(cell)} is no amount of money" if _plain(cell) else "no amount is written"))
    if isinstance(currency, str) and found.currency not in ("", currency):
        raise _Wrong(f"the amount is in {found.currency}, the currency is {currency}")
    amount = _kept(cell, found.amount, remarks)
    if told and isinstance(currency, str):
        remarks.append(told)
    return amount, found.per, found.lot_count


def _kept(cell: str, amount: Decimal, remarks: list[str]) -> Decimal:
    """An amount to the decimals that are kept; what is cut off is told where somebody wrote it."""
    if abs(amount) >= LARGEST:
        raise _Wrong("no price is so large")
    rounded = amount.quantize(PLACES).normalize() + 0
    if rounded != amount and exact(cell) is not None:
        remarks.append(f"{cell.strip()} kept as {rounded:f}")
    return rounded


def _amount(
    cell: str, currency: object, quantity: object, remarks: list[str], signs: frozenset[str]
) -> Decimal:  # fmt: skip
    amount, per, count = _money(cell, currency, remarks, signs)
    if amount <= 0:
        raise _Wrong("a price is more than nothing; what was given away says nothing of a price")
    if per == LOT and count is not None and isinstance(quantity, int) and count != quantity:
        raise _Wrong(f"said for {count}, the quantity is {quantity}")
    return amount * quantity if per == EACH and isinstance(quantity, int) else amount


def _postage(cell: str, currency: object, remarks: list[str], signs: frozenset[str]) -> Decimal | None:
    return _money(cell, currency, remarks, signs)[0] if _plain(cell) else None


def _quantity(cell: str) -> int:
    text = _plain(cell)
    found = re.fullmatch(r"([0-9]{1,6})(?:[.,]0+)?", text) if text else None
    if not text:
        return 1
    if not found or not 1 <= int(found[1]) <= MOST:
        raise _Wrong(f"{shown(text)} is no number of pieces; write a whole number from 1 up")
    return int(found[1])


def _premium(cell: str, remarks: list[str]) -> Decimal | None:
    text = _plain(cell)
    if not text:
        return None
    found = re.fullmatch(r"([0-9]{1,3}(?:[.,][0-9]{1,4})?)\s*%?", text)
    percent = Decimal(found[1].replace(",", ".")) if found else None
    if percent is None or percent > MOST_PREMIUM:
        raise _Wrong(f"{shown(text)} is no buyer's premium; write per cent of the price, such as 18")
    if 0 < percent < 1:
        told = f"{percent.normalize():f} read as per cent, less than one"
        remarks.append(f"{told}; write {(100 * percent).normalize():f} if that was a share of the whole")
    return percent
