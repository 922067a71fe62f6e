"""Values that are printed in full with their unit: 0.01 mfd, 270 K, 1/2 meg, 10,000 ohms."""

import re
from collections.abc import Iterator
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Form, MarkingFault, Reading, preferred_words
from inventory.holdings.rules.markings.tables import NO_SOURCE, MarkingTables
from inventory.holdings.rules.part_values import in_full
from tubes.rules.units import UnitFault, parse_quantity

VALUE = "value-code"
_MF = re.compile(r"(?P<figure>[\d.,/]+)\s*(?P<unit>mf)\.?", re.IGNORECASE)
_UNIT = re.compile(r"[^\W\d_]+$")
_JARS = ("jar", "jars")
_JAR = "One encyclopaedia has the jar as 1000 statfarad, 1.113 nF, which is 0.17 % more"
_UNITS = ("ohm", "pF", "uH")


def read_printed(text: str, tables: MarkingTables) -> Iterator[Reading]:
    """The readings of ``0.01 mfd``, in ohm, pF or uH. Raises MarkingFault."""
    for said, remark in _meant(text.strip()):
        try:
            written = in_full(said)
        except UnitFault as fault:
            raise MarkingFault(str(fault)) from fault
        if written == text.strip() and not _UNIT.search(written):
            raise MarkingFault("no figure with its unit")
        value, unit = _value(written)
        jar = (_UNIT.search(written) or [""])[0] in _JARS
        yield Reading(
            VALUE, value, unit, "", Form("printed"), None, "",
            ("Printed in full", *remark, *((_JAR,) if jar else ()), *preferred_words(value),
             *tables.cited("sizes-jar" if jar else NO_SOURCE)),
        )  # fmt: skip


def _meant(text: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What a text can mean. ``mf`` of any case is microfarad on parts of that age; ``mF`` is millifarad as well."""
    match = _MF.fullmatch(text)
    if not match:
        yield text, ()
        return
    figure, unit = match["figure"], match["unit"]
    yield f"{figure} uF", (f"{unit} on parts of that age is microfarad, never milli",)
    if unit == "mF":
        yield f"{figure} millifarad", ("On a modern part mF is millifarad",)


def _value(text: str) -> tuple[Decimal, str]:
    told = ""
    for of in _UNITS:
        try:
            value = parse_quantity(text, of)
        except UnitFault as fault:
            told = told or str(fault)
            continue
        # A factor of the registry is a float: what it adds behind the twelfth figure was never printed.
        exact = Decimal(f"{value:.12g}")
        if not 0 < exact < Decimal("1e15"):
            raise MarkingFault("expected a value above 0, such as 0.01 mfd")
        return exact, of
    raise MarkingFault(told.split("; expected")[0].replace("in ohm", "in ohm, pF or uH"))
