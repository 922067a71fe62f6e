"""What is said of a thing beside its own columns: prices, insured values, readings, dates, serials. Kept as found.

Nothing is converted, and no figure leaves its scale: a unit, or an instrument with its unit. Two testers do not
compare; reading/minimum as it is written on cartons: common practice, no source. Currency codes: ISO 4217.
"""

import re
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from inventory.holdings.rules import prices
from inventory.holdings.rules.cells import Remark, kept_as_found
from inventory.holdings.rules.dates import UNKNOWN as NO_DATE
from inventory.holdings.rules.dates import DateReading, read_date
from inventory.holdings.rules.prices import LOT, PriceReading, read_price
from inventory.holdings.rules.readings import UNKNOWN as NO_READING
from inventory.holdings.rules.readings import TestReading, read_reading
from tubes.rules.units import parse_quantity

PAID, ASKED, INSURED, READING, MINIMUM = "paid", "asked", "insured", "reading", "minimum"
TESTED, ACQUIRED, MADE, DATED, SERIAL = "tested", "acquired", "made", "dated", "serial"
GOT_HOW, GOT_FROM = "got_how", "got_from"
TITLE = "title"
LEFT_WHY, LEFT_BY, LEFT_TO, PROCEEDS = "left_why", "left_by", "left_to", "proceeds"
WEIGHT = "weight"
OWN_NUMBER = "number"  # the keeper's own, from a list or a ledger kept before this one
ABOUT = (
    (PAID, "price paid"), (ASKED, "price asked"), (INSURED, "insured value"), (READING, "reading"),
    (MINIMUM, "reject minimum"), (TESTED, "tested"), (ACQUIRED, "acquired on"), (MADE, "made on"),
    (DATED, "other date"), (SERIAL, "serial"), (OWN_NUMBER, "own number"),
    (GOT_HOW, "how acquired"), (GOT_FROM, "acquired from"), (WEIGHT, "weight"), (TITLE, "evidence of title"),
    (LEFT_WHY, "why it left"), (LEFT_BY, "authorised by"), (LEFT_TO, "went to"), (PROCEEDS, "proceeds"),
)  # fmt: skip
NAMES = (SERIAL, OWN_NUMBER, GOT_HOW, GOT_FROM, TITLE, LEFT_WHY, LEFT_BY, LEFT_TO)  # kept as they stand there
MONEY, FIGURES, DAYS = (PAID, ASKED, INSURED, PROCEEDS), (READING, MINIMUM), (TESTED, ACQUIRED, MADE, DATED)
_CODE = re.compile("[A-Z]{3}")
PLACES = Decimal("0.000001")
TOO_LARGE = Decimal(10) ** 10  # no price and no reading; a column of the database holds less


@dataclass(frozen=True, slots=True)
class FoundFact:
    """`text` as found; `figure` the digits of a reading as written; `value` the number, None where it was not read.

    `unit` and `instrument` are the scale; `currency` is an ISO 4217 code or "". `per` is each, lot or row, of
    `of_count` things. `first` and `last` are the days it can lie between, with the `precision` of a DateReading;
    `estimated` where the keeper wrote about or a question mark. `basis` is what a value rests on, `column` the heading
    that it stood under.
    """

    about: str
    text: str
    figure: str = ""
    value: Decimal | None = None
    unit: str = ""
    instrument: str = ""
    currency: str = ""
    per: str = ""
    of_count: int | None = None
    first: date | None = None
    last: date | None = None
    precision: str = ""
    estimated: bool = False
    column: str = ""
    basis: str = ""


def _value(number: Decimal | None) -> Decimal | None:
    return None if number is None or abs(number) >= TOO_LARGE else number.quantize(PLACES)


def price_facts(about: str, found: PriceReading | None, column: str = "") -> tuple[FoundFact, ...]:
    """The fact of a price; one that is open to bargaining was asked, not paid."""
    if found is None or found.kind == prices.UNKNOWN:
        return ()
    if about == PAID and found.open:
        about = ASKED
    code = found.currency if _CODE.fullmatch(found.currency) else ""
    lot = found.lot_count if found.per == LOT else None
    fact = FoundFact(about, found.text.strip(), value=_value(found.amount), currency=code, per=found.per, of_count=lot)
    return (replace(fact, column=column),)


def reading_facts(found: TestReading | None, column: str = "", about: str = READING) -> tuple[FoundFact, ...]:
    """The facts of a reading and of the minimum beside it, each on the scale that is named.

    Said of a minimum, two figures are no minimum: which of them it is nobody can know, so the text stands alone.
    """
    if found is None or found.kind == NO_READING:
        return ()
    unit = f"of {found.out_of}, good/bad scale" if found.out_of else found.unit
    fact = FoundFact(about, found.text.strip(), found.value, _value(found.figure), unit, found.tester, column=column)
    if not found.minimum:
        return (fact,)
    if about == MINIMUM:
        return (replace(fact, figure="", value=None),)
    least = replace(fact, about=MINIMUM, figure=found.minimum, value=_value(found.minimum_figure))
    return fact, least


def date_facts(about: str, found: DateReading | None, column: str = "", instrument: str = "") -> tuple[FoundFact, ...]:
    """The fact of a date; of a test with no date but an instrument, the instrument."""
    if found is None or found.precision == NO_DATE:
        return (FoundFact(about, instrument, instrument=instrument, column=column),) if instrument else ()
    precision = found.precision if found.read else ""
    fact = FoundFact(about, found.text.strip(), first=found.first, last=found.last, precision=precision)
    return (replace(fact, estimated=not found.sure, instrument=instrument, column=column),)


def _weight(text: str) -> tuple[tuple[FoundFact, ...], Remark | None]:
    """A weight with its unit, in kg."""
    try:
        kg = parse_quantity(text, "kg")
    except ValueError as fault:
        return (FoundFact(WEIGHT, text.strip()),), Remark(str(fault), "write it as 34 kg or 75 lb")
    if not 0 < kg < 100_000:
        return (FoundFact(WEIGHT, text.strip()),), Remark(f"{kg:g} kg is no weight of a thing")
    return (FoundFact(WEIGHT, text.strip(), f"{kg:.4g}", _value(Decimal(repr(kg))), "kg"),), None


def read_fact(
    about: str, text: str, *, today: date, unit: str = "", instrument: str = "", currency: str = "",
    order: str | None = None,
) -> tuple[tuple[FoundFact, ...], Remark | None]:  # fmt: skip
    """A fact that somebody enters, read as a cell of a list is; and why it was not read, where it was not.

    `unit` and `currency` are what the text does not say itself; what it does say goes before.
    """
    remark: Remark | None
    if about in NAMES:
        return (FoundFact(about, text.strip()),), None
    if about == WEIGHT:
        return _weight(text)
    if about in MONEY:
        price = read_price(text, heading=currency, currency=currency)
        found, remark = price_facts(about, price), price.remark
        known = price.kind not in (prices.UNREAD, prices.UNKNOWN)
        if known and currency and price.currency and not _CODE.fullmatch(price.currency):
            against = f"the text says {price.currency}, which is not said to be {currency}"
            return found, Remark(against, "write the code into the text, or leave the sign out")
    elif about in FIGURES:
        reading = read_reading(text, unit, instrument)
        found, remark = reading_facts(reading, "", about), reading.remark
        known = bool(reading.value and found and found[0].figure)
        if reading.value and not known:
            remark = kept_as_found("two figures are no minimum", "enter reading/minimum as a reading")
    else:
        day = read_date(text, today, order)
        found, remark, known = date_facts(about, day, "", instrument), day.remark, day.read
    if not known or not found:
        return found or (FoundFact(about, text.strip(), instrument=instrument),), remark or Remark("nothing is said")
    return found, None
