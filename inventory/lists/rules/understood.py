"""What was understood of a row, for the report of a trial: only what the row says, each under the name of its field."""

from typing import Any

from inventory.holdings.rules.dates import DateReading
from inventory.holdings.rules.prices import FREE, MONEY, PriceReading
from inventory.holdings.rules.readings import TestReading
from inventory.lists.rules import fields as f
from inventory.lists.rules.rows import RowReading


def understood(found: RowReading, type_name: str, place: str) -> dict[str, Any]:
    """What a row says, ready for JSON; a field that the row leaves open is not there.

    ``kind``, ``type`` (the settled one), ``mark`` or ``model``, ``marks`` where one row names several types;
    ``count`` of all things, duds among them, ``states`` (count by state, "" where none is said), ``wanted``;
    ``readings`` as written, ``minimum`` of the first of them;
    ``price``, ``asked`` and ``insured`` with amount, currency and what they are for; ``place``, ``serial``, dates as
    ISO days or what is known of them. ``type_name`` and ``place``: see ``Settler``.
    """
    told: dict[str, Any] = {
        "kind": found.kind,
        "type": type_name,
        "mark": found.mark,
        "marks": list(found.split.marks) if found.split else [],
        "model": found.model,
        **_counts(found),
        **_figures(found),
        "price": _money(found.price),
        "asked": _money(found.asked),
        "insured": _money(found.insured),
        "place": place,
        "maker": found.maker,
        "date_code": found.date_code,
        "serial": found.serial,
        "mate_serial": found.mate_serial,
        "number": found.number,
        "acquired_from": found.acquired_from,
        "acquired_on": _day(found.acquired_on),
        "tested_on": _day(found.tested_on),
        "lent_to": found.register.get(f.LENT, ""),
    }
    return {name: value for name, value in told.items() if value not in ("", None, {}, [])}


def _counts(found: RowReading) -> dict[str, Any]:
    count = found.quantity
    if count is None:
        return {}
    states: dict[str, int] = {}
    for group in found.groups:
        states[group.state] = states.get(group.state, 0) + group.count
    figure = count.figure + count.duds if count.figure is not None else None
    return {
        "count": sum(states.values()) if states else figure,
        "states": states,
        "to_count": True if count.to_count else None,
        "wanted": found.wanted.figure if found.wanted else None,
    }


def _figures(found: RowReading) -> dict[str, Any]:
    readings = [one for column in found.readings for one in column.readings if one.value]
    minima = [one.minimum for one in readings if one.minimum]
    minima += [column.minimum.value for column in found.readings if column.minimum and column.minimum.value]
    return {"readings": [_reading(one) for one in readings], "minimum": minima[0] if minima else ""}


def _reading(one: TestReading) -> dict[str, str]:
    told = {"value": one.value, "minimum": one.minimum, "unit": one.unit, "instrument": one.tester}
    return {name: text for name, text in told.items() if text}


def _money(price: PriceReading | None) -> dict[str, Any]:
    if price is None or price.kind not in (MONEY, FREE) or price.amount is None:
        return {}
    told = {"amount": format(price.amount, "f"), "currency": price.currency, "per": price.per, "of": price.lot_count}
    return {name: value for name, value in told.items() if value}


def _day(day: DateReading | None) -> str:
    """A day as ISO 8601 has it, less of it where less is known."""
    if day is None or not day.read or day.first is None:
        return ""
    if day.last is None or day.first == day.last:
        return day.first.isoformat()
    year, month = day.first.year, day.first.month
    if (day.last.year, day.last.month) == (year, month):
        return f"{year}-{month:02}"
    return str(year) if day.last.year == year else f"{day.first.isoformat()}/{day.last.isoformat()}"
