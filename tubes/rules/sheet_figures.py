"""Figures of a data sheet as they are typed in: alone in the unit that is shown, or with a unit of their own."""

from collections.abc import Mapping
from types import MappingProxyType

from tubes.rules.units import UnitFault, parse_quantity, with_point

#: The unit that each figure is kept and shown in; an amplification factor has none.
UNITS: Mapping[str, str] = MappingProxyType({
    "heater_v": "V", "heater_a": "A", "plate_v_max": "V", "plate_w_max": "W", "screen_v_max": "V", "screen_w_max": "W",
    "mu": "", "gm_umho": "umho", "rp_ohm": "ohm", "cgp_pf": "pF", "cin_pf": "pF", "cout_pf": "pF",
    "plate_ma_typ": "mA", "freq_max_mhz": "Mc",
})  # fmt: skip
MOST = 1e9


def parse_figure(text: str, unit: str) -> float:
    """``6.3 V``, ``300 mA`` for an ampere figure, ``1.6 mA/V``, or a bare number in ``unit``. Raises UnitFault."""
    text = with_point(text.strip())
    try:
        value = float(text) if text.isascii() and "_" not in text else parse_quantity(text, unit or "dimensionless")
    except ValueError:
        if not unit:
            raise UnitFault(f"{text!r} cannot be read; expected a number without a unit, such as 20") from None
        value = parse_quantity(text, unit)
    if not 0 < value <= MOST:
        raise UnitFault(f"{text!r} is no figure; expected one above 0, such as 6.3 {unit}".rstrip())
    return value
