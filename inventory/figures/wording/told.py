"""The figures as JSON, and as lines of a terminal."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any

from inventory.figures.queries import Few, Figures, Money
from inventory.figures.rules.years import Line, totals
from inventory.figures.wording.leads import Lead, good_of, leads, list_of_tests, tubes_where
from inventory.figures.wording.sections import OURS, insured_leads, paid_leads, still


def as_json(found: Figures) -> dict[str, Any]:
    """All of it. Money as text; ``list``: the address of the list of just these; ``spent`` and ``insured`` are left out
    for whoever may not see money.
    """
    told: dict[str, Any] = {
        "on": found.on.isoformat(), "tubes": found.all_tubes, "within": found.within.path if found.within else None,
        "by": {
            one.key: {
                "title": one.title, "total": one.total, "note": one.note,
                "parts": [
                    {
                        "name": part.name, "count": part.count, "known": not part.unknown,
                        "list": tubes_where(part.where),
                    }
                    for part in one.parts
                ],
            }
            for one in found.tubes
        },
        "few": {"enough": found.enough, "types": list(map(_few, found.few))},
        "growth": {
            "here": found.growth.here, "left": found.growth.left, "undated": found.growth.undated,
            "years": [
                {
                    "year": one.year, "acquired": one.acquired, "entered": one.entered, "left": one.left,
                    "here": one.here, "of_it_acquired": one.dated, "still_here": _leads(still(one)),
                }
                for one in found.growth.years
            ],
        },
        "tests": [
            {
                "year": one.year, "tests": one.tests, "struck": one.struck, "tubes": one.tubes,
                "list": list_of_tests(one.year),
            }
            for one in found.tests
        ],
    }  # fmt: skip
    if found.spent:
        told["spent"] = _money(found.spent, "year", lambda one: one.of, paid_leads, "price")
    if found.insured:
        names = found.insured.names
        told["insured"] = _money(
            found.insured, "place", lambda one: names.get(one.of) if one.of else None,
            insured_leads(found.within), "insured",
        )  # fmt: skip
    return told


def _few(one: Few) -> dict[str, Any]:
    return {
        "type": one.name, "good": one.good, "good_by_number": dict(one.names), "untested": one.untested,
        "positions": one.positions, "positions_wanting": one.needy, "wanted": one.wanted,
        "lists": [{"type": name, "count": count, "list": good_of(name)} for name, count in one.names],
    } | one.said.as_dict()  # fmt: skip


def _money(
    found: Money, name: str, of: Callable[[Line], Any], ways: Callable[[Line], Sequence[Lead]], filtered: str
) -> dict[str, Any]:
    return {
        "totals": {code: _text(amount) for code, amount in totals(found.lines).items()},
        f"by_{name}": [
            {
                name: of(one), "currency": one.currency, "amount": _text(one.amount), "prices": one.prices,
                "things": one.things,
                "here": _leads(ways(one)),
            }
            for one in found.lines
        ],
        "not_in": [
            {
                "reason": one.reason, "words": one.words, "prices": one.prices, "things": one.things,
                "here": _leads(leads(one.here, (filtered, one.reason), *([OURS] if filtered == "insured" else []))),
            }
            for one in found.not_in
        ],
    }  # fmt: skip


def _leads(some: Iterable[Lead]) -> list[dict[str, Any]]:
    return [one.as_dict() for one in some]


def _text(amount: Decimal) -> str:
    return f"{amount:.2f}"


def in_lines(told: dict[str, Any]) -> Iterator[str]:
    """The JSON as lines for people."""
    yield f"{told['tubes']:,} tubes on {told['on']}"
    for one in told["by"].values():
        yield f"{one['title']}:"
        yield from (f"  {part['name']}: {part['count']:,}" for part in one["parts"])
    few = told["few"]
    yield f"Fewer than {few['enough']} good: {len(few['types'])} types"
    for one in few["types"]:
        wanting = f", {one['positions_wanting']} of {one['positions']} positions want one" if one["positions"] else ""
        wanted = f", {one['wanted']} wanted" if one["wanted"] else ""
        yield f"  {one['type']}: {one['good']} good, {one['untested']} untested{wanting}{wanted}"
    growth = told["growth"]
    yield f"Growth: {growth['here']:,} things here, {growth['left']:,} left"
    if growth["undated"]:
        yield f"  of no known year: {growth['undated']:,}"
    for one in growth["years"]:
        came = f"{one['acquired']:,} acquired, {one['entered']:,} by entry"
        yield f"  {one['year']}: {came}, {one['left']:,} left; {one['here']:,} there at its end"
    yield from (f"Tests in {one['year']}: {one['tests']:,} of {one['tubes']:,} tubes" for one in told["tests"])
    for key, title in (("spent", "Paid"), ("insured", "Insured")):
        yield from _money_lines(told.get(key), title)


def _money_lines(money: dict[str, Any] | None, title: str) -> Iterator[str]:
    if money is None:
        return
    for code, amount in money["totals"].items():
        yield f"{title}, {code or 'no currency'}: {amount}"
        for one in money.get("by_year", money.get("by_place", ())):
            if one["currency"] == code:
                of = one["year"] if "year" in one else one["place"]
                yield f"  {of or 'not known'}: {one['amount']} of {one['things']:,} things"
    for one in money["not_in"]:
        yield f"  {title}, not in a sum: {one['things']:,} things, {one['words']}"
