"""A sale noted in one line, and the line of a sale: ``2026-03-14 6SN7GT unused sold auction 2 for 25 EUR 18% ; page``.

The day first, then what it is as stamped; after that in any order grade, sold or asking, venue, the price with its
currency, and where there are such: how many it was for (``2 for 25 EUR``, or ``x2`` behind it; ``12.50 EUR each x2`` is
twice that), the buyer's premium in per cent, ``postage 5``, ``arm's length`` or ``not at arm's length``. Behind a
semicolon the source, behind another a note. A word that is none of these is refused, not passed over.
"""

import re
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

from inventory.house.currencies import is_currency
from inventory.valuation.rules import words
from inventory.valuation.rules.entry import Entry, Fault, read_entry

LINE = "line"
EXAMPLE = "2026-03-14 6SN7GT unused sold auction 2 for 25 EUR 18% ; Harbour sale, lot 12"
_GONE = "\0"  # where a part stood that was understood
_FIGURE = r"[0-9][0-9.,']*"
_SIGN = "[€£$]|DM|[A-Za-z]{3}"
# What stands first is the designation: a DM70 or an X2 is a tube there, no price and no number of tubes.
_PRICE = re.compile(
    rf"(?<=\s)(?:(?P<count>[0-9]{{1,6}})\s+for\s+)?(?:(?P<before>{_SIGN})\s*(?P<one>{_FIGURE})|"
    rf"(?P<two>{_FIGURE})\s*(?P<after>{_SIGN}))(?:\s+(?P<each>each))?(?!\S)"
)
_TIMES = re.compile(r"(?<=\s)[x×]\s?([0-9]{1,6})(?!\S)", re.IGNORECASE)
_PREMIUM = re.compile(r"(?<!\S)([0-9]{1,3}(?:[.,][0-9]{1,4})?)\s?%(?!\S)")
_POSTAGE = re.compile(rf"(?<!\S)postage\s+({_FIGURE})(?!\S)", re.IGNORECASE)
_ARMS = re.compile(r"(?<!\S)(not at\s+|at\s+)?arm'?s[- ]length(?!\S)", re.IGNORECASE)
_DAYS_BACK = {"today": 0, "yesterday": 1}


def _phrases(known: tuple[str, ...]) -> re.Pattern[str]:
    longest_first = sorted(known, key=len, reverse=True)
    told = "|".join(r"\s+".join(map(re.escape, one.split())) for one in longest_first)
    return re.compile(rf"(?<!\S)({told})(?!\S)", re.IGNORECASE)


#: Shorter words that have one meaning among the grades: common practice, no source.
SHORT = {
    "used good": "used tested good", "tested good": "used tested good", "nos": "unused", "new old stock": "unused",
    "nib": "unused boxed", "nos boxed": "unused boxed", "boxed unused": "unused boxed",
}  # fmt: skip
GRADE, _KIND, _VENUE = _phrases((*words.GRADES, *SHORT)), _phrases(words.KINDS), _phrases(words.VENUES)


def grade_named(text: str) -> str:
    """The grade that a phrase which ``GRADE`` finds stands for."""
    told = " ".join(text.split()).casefold()
    return SHORT.get(told, told)


def read_line(line: str, today: date, order: str | None = None) -> Entry | tuple[Fault, ...]:
    """Read one line; never raises. Faults name the column of a table that they are of, or ``line``."""
    text, _, behind = line.replace("\0", " ").partition(";")
    source, _, note = behind.partition(";")
    cells = {"source": source.strip(), "note": note.strip()}
    day, _, rest = " ".join(text.split()).partition(" ")
    back = _DAYS_BACK.get(day.casefold())
    cells["date"] = day if back is None else str(today - timedelta(days=back))

    twice: list[Fault] = []

    def take(pattern: re.Pattern[str], column: str, told: Callable[[re.Match[str]], str]) -> None:
        nonlocal rest
        found = list(pattern.finditer(rest))
        if len(found) > 1:
            twice.append(Fault(LINE, found[1].group(), f"the line says the {column} twice"))
        for one in reversed(found):
            cells[column] = told(one)
            rest = f"{rest[: one.start()]} {_GONE} {rest[one.end() :]}"

    for pattern, column in ((GRADE, "grade"), (_KIND, "kind"), (_VENUE, "venue")):
        take(pattern, column, lambda found: grade_named(found[1]))
    count = ""
    if price := _price(rest):
        count = price["count"] or ""
        cells["currency"] = _code(price["before"] or price["after"])
        cells["amount"] = (price["one"] or price["two"]) + (" each" if price["each"] else "")
        rest = f"{rest[: price.start()]} {_GONE} {rest[price.end() :]}"
    take(_ARMS, "arms_length", lambda found: words.NO if (found[1] or "").lower().startswith("not") else words.YES)
    take(_POSTAGE, "postage", lambda found: found[1])
    take(_PREMIUM, "premium_pct", lambda found: found[1])
    take(_TIMES, "quantity", lambda found: found[1])
    if count and cells.setdefault("quantity", count) != count:
        twice.append(Fault(LINE, count, "the line says twice how many, and not the same"))
    first, *others = (" ".join(part.split()) for part in rest.split(_GONE))
    cells["designation"] = first
    odd = tuple(Fault(LINE, part, "this is no part of a sale") for part in others if part)
    read = read_entry(cells, today, order)
    faults = (*twice, *odd, *(read if isinstance(read, tuple) else ()))
    return faults or read


def _price(text: str) -> re.Match[str] | None:
    """The first figure that stands beside a currency."""
    at = 0
    while found := _PRICE.search(text, at):
        sign = found["before"] or found["after"]
        if len(sign) != 3 or is_currency(sign.upper()):
            return found
        at = found.start() + 1
    return None


def _code(sign: str) -> str:
    return sign.upper() if len(sign) == 3 else sign


def _figure(amount: Decimal) -> str:
    return f"{amount:f}" if amount != amount.to_integral() else f"{amount.to_integral():f}"


def written(entry: Entry) -> str:
    """The line that says an entry, to be read back as the same."""
    price = f"{_figure(entry.money.amount)} {entry.money.currency}"
    parts = [
        str(entry.on), entry.designation, entry.grade, entry.kind, entry.venue,
        price if entry.quantity == 1 else f"{entry.quantity} for {price}",
        "" if entry.premium_pct is None else f"{_figure(entry.premium_pct)}%",
        "" if entry.postage is None else f"postage {_figure(entry.postage)}",
        {words.YES: "arm's length", words.NO: "not at arm's length"}.get(entry.arms_length, ""),
    ]  # fmt: skip
    line = " ".join(filter(None, parts))
    if entry.note:
        return f"{line} ; {entry.source} ; {entry.note}"
    return f"{line} ; {entry.source}" if entry.source else line
