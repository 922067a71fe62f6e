"""The drawings of the figures."""

from collections.abc import Sequence

from inventory.figures.queries import Counted, Few, Growth, Money
from inventory.figures.queries.tubes import DRAWN
from inventory.figures.rules.years import Line, Year, latest
from inventory.figures.wording.entries import YEARS, Entry
from inventory.house.bars import MONEY, PLAIN, THINGS, UNKNOWN, Bars, Item, bars

NO_CURRENCY = "no currency"


def of_parts(found: Counted) -> Bars | None:
    """Bars of the parts of a whole."""
    items = [
        Item(one.name, f"{one.count:,}", float(one.count), kind=UNKNOWN if one.unknown else PLAIN)
        for one in found.drawn
    ]
    told = [f"{found.total:,} in all."]
    if any(one.unknown for one in found.drawn):
        told.append("Dashed: not known.")
    if gathered := next((one.gathered for one in found.drawn if one.gathered), 0):
        told.append(f"{gathered} with fewer are drawn as one; the table has each.")
    return _drawn(items, found.key, found.title, " ".join((*told, found.note)).strip())


def every_year(found: Growth) -> list[Year]:
    """The years of a collection: of the latest, which are drawn, also those in which nothing came or left."""
    by_year = {one.year: one for one in found.years}
    drawn, before = latest([*by_year], YEARS)
    told = [by_year[year] for year in before]
    for year in drawn:
        last = told[-1] if told else Year(year, 0, 0, 0, found.undated, 0)
        told.append(by_year.get(year) or Year(year, 0, 0, 0, last.here, last.dated))
    return told


def of_growth(found: Growth) -> Bars | None:
    """What was there at the end of each year: full by acquisition, hollow where only the entry tells when it came."""
    items = []
    for one in every_year(found)[-YEARS:]:
        items.append(Item(str(one.year), f"{one.here:,}", float(one.dated), then=float(one.here)))
    caption = (
        "Things of every kind at the end of each year: what came less what left. Full: the year of acquisition is "
        "known. Hollow: only known is when it was entered here, which may be years after it came."
    )
    return _drawn(items, "growth", "Things at the end of each year", caption)


def of_years(entries: Sequence[Entry], currency: str) -> Bars | None:
    """What was paid in one currency, year by year."""
    caption = f"{_in(currency)} By the year of acquisition, what has left too."
    if any(one.unknown for one in entries):
        caption += " Dashed: the year is not known."
    return _drawn(_paid(entries), f"spent-{currency or 'none'}", f"Paid, {currency or NO_CURRENCY}", caption, MONEY)


def of_places(entries: Sequence[Entry], currency: str) -> Bars | None:
    """What is insured in one currency, place by place."""
    title = f"Insured, {currency or NO_CURRENCY}"
    caption = f"{_in(currency)} A place counts what lies below it. Of each thing the value that was entered last."
    return _drawn(_paid(entries), f"insured-{currency or 'none'}", title, caption, MONEY)


def _in(currency: str) -> str:
    return f"In {currency}." if currency else "Amounts of which no currency is written."


def of_few(found: Sequence[Few], enough: int) -> Bars | None:
    """The good tubes left of the types that are most called for, beside how many are enough."""
    items = [Item(one.name, _called_for(one), float(one.good), mark=float(enough)) for one in found[:DRAWN]]
    more = f" The first {DRAWN} of {len(found)}; the table has more." if len(found) > DRAWN else ""
    caption = f"Bar: good ones on the shelf. Ring: {enough}, as many as are asked for.{more}"
    return _drawn(items, "few", f"Fewer than {enough} good", caption)


def _called_for(one: Few) -> str:
    told = [f"{one.good} good"]
    told += [f"{one.needy} to fill"] if one.needy else []
    told += [f"{one.wanted} wanted"] if one.wanted else []
    return ", ".join(told)


def of_tests(entries: Sequence[tuple[str, int]]) -> Bars | None:
    """Tests year by year."""
    items = [Item(name, f"{count:,}", float(count)) for name, count in entries]
    return _drawn(items, "tests", "Tests by year", "Readings written down, those that were struck out among them.")


def currencies(found: Money) -> list[tuple[str, list[Line]]]:
    """The lines of each currency."""
    return [(code, [one for one in found.lines if one.currency == code]) for code in _codes(found)]


def _codes(found: Money) -> list[str]:
    return list(dict.fromkeys(one.currency for one in found.lines))


def _paid(entries: Sequence[Entry]) -> list[Item]:
    return [
        Item(one.name, f"{one.amount:,.2f}", float(one.amount), kind=UNKNOWN if one.unknown else PLAIN)
        for one in entries
    ]


def _drawn(items: Sequence[Item], key: str, title: str, caption: str, scale: str = THINGS) -> Bars | None:
    told = "; ".join(f"{one.name} {one.told}" for one in items)
    return bars(items, f"{title}: {told}.", caption, key=f"figure-{key}", title=title, scale_of=scale)
