"""A carrier under modulation by a sine: what the meters and the load then see.

Speech is not a sine: the rise of the antenna current is smaller, and peaks must be read from peaks (Navy training text
on antenna current and modulation, figure 5-1).
"""

from dataclasses import dataclass

from inventory.pairing.rules.on_air_checks import am_current_ratio, am_power_w, peak_v, pep_w


@dataclass(frozen=True, slots=True)
class Modulated:
    """At modulation index ``m``: powers in W; ``rise``: antenna current over that of the carrier, less one.

    ``peak_v``: highest voltage across the load at the peak of the envelope, None without a load.
    """

    m: float
    mean_w: float
    pep_w: float
    rise: float
    peak_v: float | None

    @property
    def percent(self) -> float:
        return 100 * self.m

    @property
    def rise_percent(self) -> float:
        return 100 * self.rise


def under_modulation(carrier_w: float, m: float, load_ohm: float | None = None) -> Modulated:
    """What a carrier becomes at the index ``m`` (0 to 1). Raises ValueError for figures that make no sense."""
    peak = pep_w(carrier_w, m)
    volts = peak_v(peak, load_ohm) if load_ohm is not None else None
    return Modulated(m, am_power_w(carrier_w, m), peak, am_current_ratio(m) - 1, volts)
