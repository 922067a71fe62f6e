"""Values that are printed in full with their unit, and tolerance and rating behind them."""

import re
from collections.abc import Iterator
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Form, MarkingFault, Reading, preferred_words
from inventory.holdings.rules.markings.tables import NO_SOURCE, MarkingTables
from tubes.rules.units import UnitFault, parse_quantity, with_point

VALUE = "value-code"
_OHMS = {"ohms": "ohm", "Ω": "ohm", "megs": "Mohm", "meg": "Mohm", "megohm": "Mohm", "megohms": "Mohm", "K": "kohm"}
_OHMS |= {"k": "kohm", "kΩ": "kohm", "KΩ": "kohm", "MΩ": "Mohm", "kohms": "kohm", "Kohm": "kohm", "Mohms": "Mohm"}
_PARTS = re.compile(
    r"(?P<figure>[+-]?[\d.,]+(?:/[1-9]\d?)?)\s*(?P<unit>[^\W\d_]+(?:\s+ohms?)?)\s*"
    r"(?:[±]|\+/?-)?\s*(?:(?P<tolerance>\d+(?:\.\d+)?)\s*%)?\s*"
    r"(?P<rating>\d+(?:\.\d+)?(?:/\d+)?\s*(?:V|W|VDC|volts?|watts?|v|w)\b\.?)?",
)
_UNITS = ("ohm", "pF", "uH")


def read_printed(text: str, tables: MarkingTables) -> Iterator[Reading]:
    """The reading of ``0.01 mfd 10 % 600 V``, in ohm, pF or uH. Raises MarkingFault."""
    match = _PARTS.fullmatch(with_point(" ".join(text.split())))
    if not match:
        raise MarkingFault("no figure with its unit")
    figure = _halved(with_point(match["figure"]))
    unit = " ".join(match["unit"].split())
    unit = _OHMS.get(unit.replace(" ohms", " ohm").removesuffix(" ohm"), unit)
    value, of = _value(figure, unit)
    tolerance = Decimal(match["tolerance"]) if match["tolerance"] else None
    rating = _rating(match["rating"])
    form = Form("printed", letter=unit)
    yield Reading(
        VALUE, value, of, "", form, tolerance, rating,
        ("Printed in full", *preferred_words(value), *tables.cited(NO_SOURCE)),
    )  # fmt: skip


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
    return f"{float(above) / int(below):g}" if stroke and above.isdigit() else figure


def _rating(text: str | None) -> str:
    if not text:
        return ""
    number, letter = re.fullmatch(r"([\d./]+)\s*([A-Za-z]).*", text).groups()  # type: ignore[union-attr]
    if "/" in number:
        above, _, below = number.partition("/")
        if not float(below):
            raise MarkingFault(f"{text!r} is no rating")
        number = f"{float(above) / float(below):g}"
    return f"{number} {letter.upper()}"
