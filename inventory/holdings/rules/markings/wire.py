"""Wire gauges: AWG (= B&S) by its formula, SWG by its table."""

import re
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Answer, Form, Reading
from inventory.holdings.rules.markings.tables import MarkingTables

WIRE = "wire"
HIGHEST_AWG, HIGHEST_SWG = 56, 50
EXPECTED = "expected AWG (or B&S) 0000 to 56, such as AWG 22 or 4/0 AWG, or SWG with its number, such as SWG 18"
_GAUGE = re.compile(
    r"a\.?\s?w\.?\s?g\b\.?|b\s?(?:&|and)\s?s\b|brown (?:&|and) sharpe|american wire gauge"
    r"|s\.?\s?w\.?\s?g\b\.?|(?:british )?standard wire gauge|imperial wire gauge",
    re.ASCII,
)
_NUMBER = re.compile(
    r"(?:#|no\b\.?|nr\b\.?|number|size|gauge|ga\b\.?)?[ .]?(0{1,7}|[1-7]/0|\d{1,2})\s?(?:gauge|ga\b\.?)?", re.ASCII
)


def read_wire(text: str, tables: MarkingTables, told: bool = False) -> Answer:
    """A gauge and its number: the diameter of the bare wire in mm. A number without its gauge has both meanings.

    ``told``: the text is known to be of a wire, so that a bare number counts.
    """
    words = re.sub(r"(?<=\w)-(?=\w)|(?<=[a-z])(?=\d)|(?<=\d)(?=[a-z])", " ", " ".join(text.lower().split()))
    gauges = {"SWG" if _swg(found) else "AWG" for found in _GAUGE.findall(words)}
    rest = _GAUGE.sub(" ", words).strip(" ,;:.")
    rest = " ".join(rest.split())
    match = _NUMBER.fullmatch(rest)
    bare = bool(re.fullmatch(r"[\d/]+", rest))
    if len(gauges) > 1 or not match or (not gauges and bare and not told):
        return Answer(refusal=f"{text.strip()!r} is no wire gauge; {EXPECTED}", near=bool(gauges))
    number = match[1]
    readings: list[Reading] = []
    refusals: list[str] = []
    for gauge in gauges or ("AWG", "SWG"):
        one = _awg(number, tables) if gauge == "AWG" else _swg_row(number, tables)
        if isinstance(one, str):
            refusals.append(one)
        else:
            readings.append(one)
    if not readings:
        return Answer(refusal="; ".join(refusals), near=True)
    warnings = () if gauges else ("The gauge is not named: AWG and SWG give different wire for one number.",)
    return Answer(tuple(readings), (*warnings, *(f"{one}." for one in refusals)), near=True)


def _swg(found: str) -> bool:
    return found.startswith(("s", "british", "imperial"))


def _zeros(number: str) -> int | None:
    """How many noughts a number is: 3 for 000 and for 3/0; None where it is another number."""
    if "/" in number:
        return int(number[0])
    return len(number) if set(number) == {"0"} else None


def _awg(number: str, tables: MarkingTables) -> Reading | str:
    noughts = _zeros(number)
    at = 1 - noughts if noughts is not None else int(number)
    if not -3 <= at <= HIGHEST_AWG:
        return f"AWG goes from 0000 to {HIGHEST_AWG}"
    return Reading(
        WIRE, round(0.127 * 92 ** ((36 - at) / 39), 10), "mm", "AWG (B&S)", Form("AWG"), None, "",
        ("Diameter of the bare wire", *tables.cited("mikeholt-awg")),
    )  # fmt: skip


def _swg_row(number: str, tables: MarkingTables) -> Reading | str:
    noughts = _zeros(number)
    key = number.lstrip("0") if noughts is None else f"{noughts}/0" if noughts > 1 else "0"
    if ("SWG", key) not in tables.gauges:
        return f"SWG goes from 7/0 to {HIGHEST_SWG}"
    inch, source = tables.gauges["SWG", key]
    mm: Decimal = (inch * Decimal("25.4")).normalize()
    return Reading(
        WIRE, mm, "mm", "SWG", Form("SWG"), None, "",
        (f"Diameter of the bare wire, {inch} in", *tables.cited(source)),
    )  # fmt: skip
