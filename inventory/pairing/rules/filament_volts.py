"""Filament volts: what was read against the supply's own figure and against what the fitted tubes want.

Within 5 % is usual for thoriated tungsten and best for oxide (RCA wartime notice on transmitting tubes, and the
textbook quoted at tubecad.com, October 2000). Pure tungsten may go lower. Volts are rms or DC at the supply meter; what
counts is the voltage at the pins, so a branch that wants less than the supply is told and not judged.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

TOLERANCE = 0.05


@dataclass(frozen=True, slots=True)
class VoltsAnswer:
    """A voltage judged: ``agrees`` None where the meter alone cannot tell."""

    agrees: bool | None
    text: str


@dataclass(frozen=True, slots=True)
class BranchHeater:
    """A fitted tube on a branch, its heaters in series with the others of that branch; ``heater_v`` None: not known."""

    mark: str
    heater_v: float | None
    branch: str


def _positive(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{name} is {value:g}; expected a figure above 0")


def check_supply(measured: float, nominal: float, tolerance: float = TOLERANCE) -> VoltsAnswer:
    """The filament supply against its nominal voltage, V. Raises ValueError for figures that make no sense."""
    _positive("filament volts", measured)
    _positive("filament supply", nominal)
    part = measured / nominal - 1
    text = f"Filament supply {measured:.4g} V, {100 * part:+.1f} % from {nominal:.4g} V; within {100 * tolerance:.0f} %"
    agrees = abs(part) <= tolerance + 1e-9
    return VoltsAnswer(agrees, f"{text} is usual.")


def check_branches(heaters: Sequence[BranchHeater], measured: float, tolerance: float = TOLERANCE) -> list[VoltsAnswer]:
    """What each branch wants beside the measured supply, V, in the order of the branches.

    A branch that wants more than the supply gives is starved; one that wants about as much hangs straight on it and is
    judged; those that want less have a resistor or lead in series, which only a meter at the pins can judge: they come
    last, in one sentence.
    """
    _positive("filament volts", measured)
    branches: dict[str, list[BranchHeater]] = {}
    for heater in heaters:
        branches.setdefault(heater.branch, []).append(heater)
    answers, behind_a_drop = [], []
    for members in branches.values():
        marks, wants = " + ".join(heater.mark for heater in members), _wants(members)
        if wants is None:
            answers.append(VoltsAnswer(None, f"{marks}: the heater voltage of a tube fitted there is not known."))
        elif measured > wants * (1 + tolerance) + 1e-9:
            behind_a_drop.append(f"{marks} {wants:.4g} V")
        else:
            answers.append(_straight(marks, wants, measured, tolerance))
    if behind_a_drop:
        told = f"Less than the supply want {', '.join(behind_a_drop)}"
        text = f"{told}: the rest must drop on the way, or they are overrun. Measure at the pins."
        answers.append(VoltsAnswer(None, text))
    return answers


def _wants(members: list[BranchHeater]) -> float | None:
    volts = [heater.heater_v for heater in members if heater.heater_v is not None]
    for value in volts:
        _positive("heater voltage", value)
    return math.fsum(volts) if len(volts) == len(members) else None


def _straight(marks: str, wants: float, measured: float, tolerance: float) -> VoltsAnswer:
    part = measured / wants - 1
    told = f"{marks}: wants {wants:.4g} V of {measured:.4g} V"
    if part >= -tolerance - 1e-9:
        return VoltsAnswer(True, f"{told}, {100 * part:+.1f} %.")
    return VoltsAnswer(False, f"{told}: {-100 * part:.0f} % low, it is starved.")
