"""The drawings of the figures."""

from collections.abc import Sequence
from decimal import Decimal

from inventory.figures.queries import Counted, Few, Growth, Money
from inventory.figures.queries.tubes import DRAWN
from inventory.figures.rules.years import Line, latest
from inventory.house.bars import MONEY, THINGS, UNKNOWN, Bars, Item, bars

YEARS = 14  # drawn one by one, the last of them the latest
NO_CURRENCY = "no currency"


def of_parts(found: Counted) -> Bars | None:
    """Bars of the parts of a whole."""
    items = [
        Item(one.name, f"{one.count:,}", float(one.count), kind=UNKNOWN if one.unknown else "plain")
        for one in found.drawn
    ]
    told = [f"{found.total:,} in all."]
    if any(one.unknown for one in found.drawn):
        told.append("Dashed: not known.")
    if gathered := next((one.gathered for one in found.drawn if one.gathered), 0):
        told.append(f"{gathered} with fewer are drawn as one; the table has each.")
    return _drawn(items, found.key, found.title, " ".join((*told, found.note)).strip())


def of_growth(found: Growth) -> Bars | None:
    """What was there at the end of each year: full by acquisition, hollow where only the entry tells when it came."""
    by_year = {one.year: one for one in found.years}
    drawn, before = latest([*by_year], YEARS)
    items, dated, here = [], 0, found.undated
    for year in ([before[-1]] if before else []) + drawn:
        dated, here = (by_year[year].dated, by_year[year].here) if year in by_year else (dated, here)
        name = f"until {year}" if before and year == before[-1] else str(year)
        items.append(Item(name, f"{here:,}", float(dated), then=float(here)))
    caption = (
        "Things of every kind at the end of each year: what came less what left. Full: the year of acquisition is "
        "known. Hollow: only known is when it was entered here, which may be years after it came."
    )
    return _drawn(items, "growth", "Things at the end of each year", caption)


def of_years(some: Sequence[Line], currency: str) -> Bars | None:
    """What was paid in one currency, year by year."""
    known = {one.of: one.amount for one in some if one.of is not None}
    unknown = [one.amount for one in some if one.of is None]
    drawn, before = latest(sorted(known), YEARS)
    items = []
    if before:
        items.append(_paid(f"until {before[-1]}", sum((known[year] for year in before), Decimal(0))))
    items += [_paid(str(year), known.get(year, Decimal(0))) for year in drawn]
    items += [_paid("year not known", amount, UNKNOWN) for amount in unknown]
    caption = "By the year of acquisition, what has left too."
    if unknown:
        caption += " Dashed: the year is not known."
    return _drawn(items, f"spent-{currency or 'none'}", f"Paid, {currency or NO_CURRENCY}", caption, MONEY)


def of_places(some: Sequence[Line], names: dict[int, str], currency: str, nowhere: str) -> Bars | None:
    """What is insured in one currency, place by place, the highest first."""
    known = sorted((one for one in some if one.of), key=lambda one: (-one.amount, names.get(one.of or 0, "")))
    kept, rest = (known, []) if len(known) <= DRAWN else (known[: DRAWN - 1], known[DRAWN - 1 :])
    items = [_paid(names.get(one.of or 0, "?"), one.amount) for one in kept]
    if rest:
        items.append(_paid(f"{len(rest)} others", sum((one.amount for one in rest), Decimal(0))))
    items += [_paid(nowhere, one.amount, UNKNOWN) for one in some if not one.of]
    title = f"Insured, {currency or NO_CURRENCY}"
    caption = "A place counts what lies below it. Of each thing the value that was entered last."
    return _drawn(items, f"insured-{currency or 'none'}", title, caption, MONEY)


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


def of_tests(years: Sequence[tuple[int, int]]) -> Bars | None:
    """Tests year by year."""
    known = dict(years)
    drawn, before = latest(sorted(known), YEARS)
    items = [_counted(f"until {before[-1]}", sum(known[year] for year in before))] if before else []
    items += [_counted(str(year), known.get(year, 0)) for year in drawn]
    return _drawn(items, "tests", "Tests by year", "Readings written down, those that were struck out among them.")


def currencies(found: Money) -> list[tuple[str, list[Line]]]:
    """The lines of each currency."""
    return [(code, [one for one in found.lines if one.currency == code]) for code in _codes(found)]


def _codes(found: Money) -> list[str]:
    return list(dict.fromkeys(one.currency for one in found.lines))


def _paid(name: str, amount: Decimal, kind: str = "plain") -> Item:
    return Item(name, f"{amount:,.2f}", float(amount), kind=kind)


def _counted(name: str, count: int) -> Item:
    return Item(name, f"{count:,}", float(count))


def _drawn(items: Sequence[Item], key: str, title: str, caption: str, scale: str = THINGS) -> Bars | None:
    told = "; ".join(f"{one.name} {one.told}" for one in items)
    return bars(items, f"{title}: {told}.", caption, key=f"figure-{key}", title=title, scale_of=scale)
