"""The facts of a row as ``holdings.rules.facts`` keeps them: prices, readings, dates, serials, with their headings."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from inventory.holdings.rules.date_codes import year_made
from inventory.holdings.rules.dates import UNKNOWN, YEAR
from inventory.holdings.rules.facts import (
    ACQUIRED,
    ASKED,
    DATED,
    GOT_FROM,
    GOT_HOW,
    INSURED,
    LEFT_BY,
    LEFT_TO,
    LEFT_WHY,
    MADE,
    MINIMUM,
    OWN_NUMBER,
    PAID,
    PROCEEDS,
    SERIAL,
    TESTED,
    TITLE,
    FoundFact,
    date_facts,
    price_facts,
    reading_facts,
)
from inventory.holdings.rules.prices import ROW, read_price
from inventory.lists.rules import fields as f
from inventory.lists.rules.row_result import ColumnReading, RowReading

LONGEST_SERIAL = 60  # of a part


def facts_of_row(found: RowReading, column: Callable[[str], str], at: int = 0) -> tuple[FoundFact, ...]:
    """Every fact of a row of a list for one of its things, the one `at` (from 0); `column` names a field's heading.

    A reading or a serial of a row of several things is said of the row, unless the row tells whose it is.
    """
    own = tuple(fact for one in found.readings if one.whose for fact in _figures(one, at))
    figures = tuple(fact for one in found.readings if not one.whose for fact in _figures(one))
    with_date = found.tested_on is not None and found.tested_on.precision != UNKNOWN
    tester = "" if (figures or own) and not with_date else found.instrument
    of_one = (*figures, *((FoundFact(SERIAL, found.serial, column=column(f.SERIAL)),) if _serial(found) else ()))
    things = sum(group.count for group in found.groups) if found.kind not in (f.PARTS, f.OTHERS) else 1
    if things > 1:
        of_one = tuple(replace(one, per=ROW, of_count=things) for one in of_one)
    prices = (
        *price_facts(PAID, found.price, column(f.PRICE)),
        *price_facts(ASKED, found.asked, column(f.ASKED)),
        *price_facts(INSURED, found.insured, column(f.INSURED)),
    )
    return (
        # of how many things the row is, where the price does not say it: only so can it be told whether it adds up
        *(replace(one, of_count=things) if one.per in ("", ROW) else one for one in prices),
        *own,
        *of_one,
        *date_facts(TESTED, found.tested_on, column(f.TESTED_ON if with_date else f.INSTRUMENT), tester),
        *date_facts(ACQUIRED, found.acquired_on, column(f.ACQUIRED_ON)),
        *_made(found, column(f.DATE_CODE)),
        *date_facts(DATED, found.dated, column(f.DATED)),
        *_own_number(found, column, things),
        *_said(found, column),
    )


def _said(found: RowReading, column: Callable[[str], str]) -> tuple[FoundFact, ...]:
    """How a thing came, what shows that it is ours, why it left: words as they stand there. A tube has columns for how
    and from whom it came; what it fetched is read as a price.
    """
    texts = {TITLE: f.TITLE, LEFT_WHY: f.LEFT_WHY, LEFT_BY: f.LEFT_BY, LEFT_TO: f.LEFT_TO}
    told = [(about, found.register.get(field, ""), field) for about, field in texts.items()]
    if found.kind != f.TUBES:
        told += [(GOT_HOW, found.register.get(f.HOW, ""), f.HOW), (GOT_FROM, found.acquired_from, f.FROM)]
    words = tuple(FoundFact(about, text, column=column(field)) for about, text, field in told if text)
    fetched = found.register.get(f.PROCEEDS, "")
    return (*words, *(price_facts(PROCEEDS, read_price(fetched), column(f.PROCEEDS)) if fetched else ()))


def _figures(found: ColumnReading, at: int = 0) -> tuple[FoundFact, ...]:
    """The readings of one column, the minimum beside them; of thing `at` where they are told apart."""
    whose = found.whose or (at,) * len(found.readings)
    readings = [reading for reading, of in zip(found.readings, whose, strict=True) if of == at]
    told = [fact for reading in readings for fact in reading_facts(reading, found.heading)]
    return (*told, *reading_facts(found.minimum, found.minimum_heading, MINIMUM))


def _serial(found: RowReading) -> bool:
    """Whether the serial has no column of its own in the register."""
    return bool(found.serial) and found.kind in (f.TUBES, f.PARTS, f.OTHERS) and not piece_serial(found)


def piece_serial(found: RowReading) -> str:
    """The serial of a single piece among parts, such as a meter, which has a column for it; empty where a row is of
    several pieces or of none that is counted.
    """
    counted = found.quantity
    one = counted is not None and (counted.least, counted.most) in ((1, 1), (0, 0)) and not counted.to_count
    return found.serial if found.kind == f.PARTS and one and len(found.serial) <= LONGEST_SERIAL else ""


def _own_number(found: RowReading, column: Callable[[str], str], things: int) -> tuple[FoundFact, ...]:
    """The keeper's own number of a thing; in a list of this program's own the other number is the tag."""
    own = found.register.get(f.OWN_NUMBER, "")
    text, field = (own, f.OWN_NUMBER) if own or found.own else (found.number, f.NUMBER)
    if not text:
        return ()
    fact = FoundFact(OWN_NUMBER, text, column=column(field))
    return (replace(fact, per=ROW, of_count=things) if things > 1 else fact,)


def _made(found: RowReading, column: str) -> tuple[FoundFact, ...]:
    """When a thing was made, by its date code; a tube has a column for that."""
    if not found.date_code or found.kind == f.TUBES:
        return ()
    fact = FoundFact(MADE, found.date_code, column=column)
    year = year_made(found.date_code)
    if year is None:
        return (fact,)
    return (replace(fact, first=date(year, 1, 1), last=date(year, 12, 31), precision=YEAR),)
