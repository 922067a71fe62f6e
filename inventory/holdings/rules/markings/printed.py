"""Values that are printed in full with their unit, and tolerance and rating behind them in any order."""

import re
from collections.abc import Iterator
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Form, MarkingFault, Reading, preferred_words
from inventory.holdings.rules.markings.tables import NO_SOURCE, MarkingTables
from tubes.rules.units import UnitFault, parse_quantity, with_point

VALUE = "value-code"
_HEAD = re.compile(
    r"(?P<figure>\d[\d.,]*(?:/[1-9]\d?)?|\.\d+)\s*(?P<unit>[^\W\d_]+(?:\s+ohms?)?)(?![^\W\d_])\s*(?P<rest>.*)"
)
_TAIL = re.compile(
    r"[\s,;]*(?:(?:±|\+/?-)?\s*(?P<tolerance>\d+(?:\.\d+)?)\s*%"
    r"|(?P<number>\d+(?:\.\d+)?(?:/[1-9]\d?)?)[\s-]*(?P<unit>WVDC|VDCW|DCWV|VDC|WV|volts?|V|watts?|W)\b\.?)",
    re.IGNORECASE,
)
#: Short names that resistors bear and no registry of units should know: K elsewhere is a temperature.
_OHMS = {"k": "kohm", "K": "kohm", "meg": "Mohm", "megs": "Mohm", "Meg": "Mohm", "MEG": "Mohm"}
_JARS = ("jar", "jars")
_JAR = "One encyclopaedia has the jar as 1000 statfarad, 1.113 nF, which is 0.17 % more"
_UNITS = ("ohm", "pF", "uH")


def read_printed(text: str, tables: MarkingTables) -> Iterator[Reading]:
    """The readings of ``0.01 mfd 10 % 600 V``, in ohm, pF or uH. Raises MarkingFault."""
    match = _HEAD.fullmatch(" ".join(text.split()))
    if not match:
        raise MarkingFault("no figure with its unit")
    tolerance, rating = _tail(match["rest"])
    figure = _halved(with_point(match["figure"]))
    unit = match["unit"].split()[0]
    unit = _OHMS.get(unit, unit if " " not in match["unit"] else "")
    for meant, remark in _meant(unit):
        value, of = _value(figure, meant)
        yield Reading(
            VALUE, value, of, "", Form("printed"), tolerance, rating,
            ("Printed in full", *remark, *preferred_words(value), *tables.cited(*_sources(unit))),
        )  # fmt: skip


def _meant(unit: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What a unit can mean. ``mf`` of any case is microfarad on parts of that age; ``mF`` is millifarad as well."""
    if unit.lower() != "mf":
        yield unit, (_JAR,) if unit in _JARS else ()
        return
    yield "uF", (f"{unit} on parts of that age is microfarad, never milli",)
    if unit == "mF":
        yield "millifarad", ("On a modern part mF is millifarad",)


def _sources(unit: str) -> tuple[str, ...]:
    return ("sizes-jar",) if unit in _JARS else (NO_SOURCE,)


def _tail(rest: str) -> tuple[Decimal | None, str]:
    """Tolerance and rating out of what stands behind the value. Raises MarkingFault for anything else."""
    tolerance: Decimal | None = None
    rating = ""
    while rest.strip(" ,;."):
        match = _TAIL.match(rest)
        if not match or (match["tolerance"] and tolerance is not None) or (match["number"] and rating):
            raise MarkingFault(f"{rest.strip()!r} behind the value is no tolerance or rating")
        if match["tolerance"]:
            tolerance = Decimal(match["tolerance"])
        else:
            rating = f"{_halved(match['number'])} {'V' if 'v' in match['unit'].lower() else 'W'}"
        rest = rest[match.end() :]
    return tolerance, rating


def _value(figure: str, unit: str) -> tuple[Decimal, str]:
    told = ""
    for of in _UNITS:
        try:
            value = parse_quantity(f"{figure} {unit}", of)
        except UnitFault as fault:
            told = told or str(fault)
            continue
        # A factor of the registry is a float: what it adds behind the twelfth figure was never printed.
        exact = Decimal(f"{value:.12g}")
        if not 0 < exact < Decimal("1e15"):
            raise MarkingFault("expected a value above 0, such as 0.01 mfd")
        return exact, of
    raise MarkingFault(told.split("; expected")[0])


def _halved(figure: str) -> str:
    """A fraction as a decimal: 1/2 is 0.5."""
    above, stroke, below = figure.partition("/")
    return f"{float(above) / int(below):g}" if stroke else figure
