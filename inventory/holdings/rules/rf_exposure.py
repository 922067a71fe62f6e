"""Limits of RF fields that people may be in, from 0.3 to 30 Mc.

47 CFR 1.1310 as of 1997, read at emclabinfo.com and hallikainen.org; the magnetic field below 3 and 1.34 Mc (1.63 A/m)
from memory. ICNIRP and IEEE C95.1 have limits of their own, and national ones come first.
"""

from dataclasses import dataclass

LOWEST_MC, HIGHEST_MC = 0.3, 30.0
CAUTION = (
    "Limits are no distances: fields near aerials, feeders and open tanks are found by measuring or by a licensed"
    " person's reckoning. No hand on a live aerial or tank: RF burns deep. National limits come first."
)


@dataclass(frozen=True, slots=True)
class FieldLimits:
    """V/m and A/m, averaged over ``minutes``."""

    e_v_per_m: float
    h_a_per_m: float
    minutes: int


def field_limits(mc: float, controlled: bool) -> FieldLimits:
    """The limits at a frequency; ``controlled``: for people who know of it and can leave, else for the public.

    Raises ValueError outside 0.3 to 30 Mc.
    """
    if not LOWEST_MC <= mc <= HIGHEST_MC:
        raise ValueError(f"{mc:g} Mc is outside of {LOWEST_MC:g} to {HIGHEST_MC:g} Mc, for which the limits are here")
    if controlled:
        return FieldLimits(614.0, 1.63, 6) if mc < 3 else FieldLimits(1842 / mc, 4.89 / mc, 6)
    return FieldLimits(614.0, 1.63, 30) if mc < 1.34 else FieldLimits(824 / mc, 2.19 / mc, 30)
