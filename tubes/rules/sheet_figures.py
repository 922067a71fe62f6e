"""Figures of a data sheet as they are typed in: alone in the unit that is shown, or with a unit of their own."""

import re
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
_BARE = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")


def parse_figure(text: str, unit: str) -> float:
    """``6.3 V``, ``300 mA`` for an ampere figure, ``1.6 mA/V``, or a bare number in ``unit``. Raises UnitFault."""
    text = with_point(text.strip())
    try:
        value = float(text) if _BARE.fullmatch(text) else parse_quantity(text, unit)
    except UnitFault:
        if unit:
            raise
        raise UnitFault(f"{text!r} cannot be read; expected a number without a unit, such as 20") from None
    if not 0 < value <= MOST:
        raise UnitFault(f"{text!r} is no figure; expected one above 0, such as 6.3 {unit}".rstrip())
    return float(f"{value:.12g}")  # 700 mA is 0.7 A, not a hair more
