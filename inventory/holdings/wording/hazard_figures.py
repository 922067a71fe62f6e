"""Figures for hazards as JSON: what a bank of capacitors holds, what fields and lifts are allowed."""

from collections.abc import Sequence
from typing import Any

from inventory.holdings.rules import lifting, rf_exposure, stored_energy


def bank_figures(
    capacitors_uf: Sequence[float], volts: float, *, in_series: bool = False, bleeder_ohm: float | None = None,
    down_to_v: float = stored_energy.SAFE_V, within_s: float | None = None,
) -> dict[str, Any]:  # fmt: skip
    """A bank at a voltage: joule; with a bleeder seconds and watts; with a time the largest bleeder for it.

    Raises ValueError naming the figure at fault.
    """
    bank = stored_energy.Bank(stored_energy.joined_uf(capacitors_uf, in_series), volts)
    return {
        "capacitance_uf": bank.uf,
        "volts": bank.volts,
        "energy_j": bank.energy_j,
        "down_to_v": down_to_v,
        "bleeder_ohm": bleeder_ohm,
        "discharge_s": None if bleeder_ohm is None else bank.seconds(bleeder_ohm, down_to_v),
        "bleeder_w": None if bleeder_ohm is None else bank.watts(bleeder_ohm),
        "within_s": within_s,
        "largest_bleeder_ohm": None if within_s is None else bank.largest_ohm(within_s, down_to_v),
        "caution": stored_energy.CAUTION,
    }


def field_figures(mc: float) -> dict[str, Any]:
    """The limits of RF fields at a frequency for those who know of it and for the public. Raises ValueError."""
    return {
        "frequency_mc": mc,
        **{
            name: {"e_v_per_m": found.e_v_per_m, "h_a_per_m": found.h_a_per_m, "averaged_over_min": found.minutes}
            for name, found in (
                ("controlled", rf_exposure.field_limits(mc, True)), ("public", rf_exposure.field_limits(mc, False)),
            )
        },
        "source": "47 CFR 1.1310 (1997); the magnetic field at low frequencies from memory",
        "caution": rf_exposure.CAUTION,
    }  # fmt: skip


def lift_figures(lift: lifting.Lift) -> dict[str, Any]:
    """What one person may lift so, and how a weight stands to it."""
    return {
        "limit_kg": lift.limit_kg,
        "weight_kg": lift.weight_kg,
        "index": lift.index,
        "source": "NIOSH 94-110, revised 2021; factors for turning, grip and frequency taken as 1",
        "caution": lifting.CAUTION,
    }
