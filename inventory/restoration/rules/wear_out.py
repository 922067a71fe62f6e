"""Whether the keeper's own record shows that tubes of a kind wear out, so that renewals are counted and no mere rate.

Clear is a Weibull shape whose whole 95 % interval lies above 1 (at 1 the rate is constant), from enough failures: with
few of them the shape says little (NIST/SEMATECH e-Handbook 8.4.1.3 has the fit).
"""

import math
from dataclasses import dataclass

from inventory.running.rules.survival import Weibull


@dataclass(frozen=True)
class Wear:
    """``fit``: the lives by which tubes wear out; None: a constant rate. ``why``: in a sentence."""

    fit: Weibull | None
    why: str


def wear_of(fit: Weibull | None, failures: int, fewest: float, shape: float, why_not: str = "") -> Wear:
    """What a fit to some failures says. ``fewest``: failures from which it counts; ``shape``: that it must exceed."""
    if failures < fewest:
        many = f"{failures} failure{'s' * (failures != 1)}"
        return Wear(None, f"A constant rate: {many} here; from {fewest:g} on it is looked at whether they wear out.")
    if fit is None:
        return Wear(None, f"A constant rate: no lives could be fitted{f' ({why_not})' if why_not else ''}.")
    low, high = fit.beta_interval
    told = f"{failures} failures here, Weibull shape {fit.beta:.2g} (95 % interval {low:.2g} to {high:.2g})"
    if low <= shape:
        return Wear(None, f"A constant rate: {told} is not clearly above {shape:g}.")
    half = fit.eta * math.exp(math.log(math.log(2)) / fit.beta)
    return Wear(fit, f"They wear out: {told}, clearly above {shape:g}; half fail by {half:,.0f} h.")
