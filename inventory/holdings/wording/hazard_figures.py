"""Figures for hazards as JSON: what a bank of capacitors holds, what fields and lifts are allowed."""

import math
from collections.abc import Sequence
from typing import Any

from inventory.holdings.rules import lifting, rf_exposure, stored_energy
from inventory.holdings.rules.bank_text import Rated


def bank_figures(
    capacitors: Sequence[Rated], volts: float | None = None, *, in_series: bool = False,
    bleeder_ohm: float | None = None, down_to_v: float = stored_energy.SAFE_V, within_s: float | None = None,
) -> dict[str, Any]:  # fmt: skip
    """A bank at a voltage: joule; with a bleeder seconds and watts; with a time the largest bleeder for it.

    ``volts`` None: each at its own rating, which is the most that it may hold; times and watts then go by the highest.
    Raises ValueError naming the figure at fault.
    """
    ratings = [one.volts for one in capacitors]
    if volts is None and (in_series or None in ratings or not ratings):
        told = "in series they share it" if in_series else "or the rated voltage behind each capacitor: 8 mfd 450 V"
        raise stored_energy.BankFault(f"name the voltage across the bank; {told}")
    across = max(filter(None, ratings), default=0.0) if volts is None else volts
    each = [one.uf for one in capacitors for _ in range(one.pieces)]
    bank = stored_energy.Bank(stored_energy.joined_uf(each, in_series), across)
    energy = bank.energy_j
    if volts is None:
        energy = math.fsum(stored_energy.Bank(one.uf, one.volts or 0.0).energy_j * one.pieces for one in capacitors)
    return {
        "capacitance_uf": bank.uf,
        "volts": bank.volts,
        "each_at_its_rating": volts is None,
        "energy_j": energy,
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
