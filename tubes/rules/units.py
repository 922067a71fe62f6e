"""The one unit registry of the house, with the trade's own units.

kc and Mc are cycles per second as old dials print them; mmf, mmfd are picofarad and mfd microfarad as U.S. drawings
write them; a jar is 1111.1 pF (Admiralty use until about 1937, Admiralty Handbook 1938 as quoted at sizes.com).
Quantities are parsed once, at the edge, and stored as plain numbers in a unit named by the field.
"""

from functools import cache
from typing import Any

import pint


class UnitFault(ValueError):
    """A text that is no quantity of the wanted kind; the message says what was found and what is expected."""


@cache
def registry() -> Any:
    """The only registry (made on first use: it takes about a tenth of a second)."""
    reg: Any = pint.UnitRegistry(cache_folder=None)
    for line in (
        "kilocycle = kilohertz = kc",
        "megacycle = megahertz = Mc",
        "micromicrofarad = picofarad = mmf = mmfd = uuF",
        "trade_microfarad = microfarad = mfd",
        "micro_mho = microsiemens = micromho = umho",
        "jar = microfarad / 900",
    ):
        reg.define(line)
    return reg


def parse_quantity(text: str, unit: str) -> float:
    """The number that ``text`` states, in ``unit``.

    Raises UnitFault when there is no unit, the unit is of another kind, or the text is no quantity.
    """
    wanted = f"a figure with its unit, such as 3.6 {unit}"
    try:
        quantity = registry().Quantity(text.strip())
        if quantity.unitless:
            raise UnitFault(f"{text!r} has no unit; expected {wanted}")
        value = float(quantity.to(unit).magnitude)
    except UnitFault:
        raise
    except Exception as fault:  # pint raises a dozen kinds for odd texts; all mean the same here
        raise UnitFault(f"{text!r} cannot be read; expected {wanted}") from fault
    if value != value or value in (float("inf"), float("-inf")):
        raise UnitFault(f"{text!r} is no finite figure; expected {wanted}")
    return value


def parse_frequency_kc(text: str) -> float:
    """A frequency such as ``3.6 Mc``, ``3600 kc`` or ``3.6 MHz``, in kc."""
    value = parse_quantity(text, "kc")
    if value <= 0:
        raise UnitFault(f"{text!r} is no frequency; expected a positive figure such as 3.6 Mc or 3600 kc")
    return value


def show_frequency(kc: float | None) -> str:
    """A frequency as a dial shows it: kc below 1 Mc, Mc from there on."""
    if kc is None:
        return ""
    return f"{kc / 1000:g} Mc" if kc >= 1000 else f"{kc:g} kc"
