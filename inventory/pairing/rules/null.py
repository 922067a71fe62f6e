"""The null of a neutralizing control from readings around it: setting, error, floor, depth, where to read next.

Model (derived from the bridge): what still comes through is proportional to the distance from the balance, and leakage
in quadrature leaves a floor, so ``A^2 = S^2 (C - C0)^2 + F^2``: the square of the amplitude is a parabola of the
setting, fitted by least squares (which readings decide: see ``null_near``). Leakage in phase does not raise the floor,
it only moves C0. Settings are dial divisions; amplitudes are in the unit of the readings (scale ``db``: 1 at 0 dB); an
indicator of scale ``square-law`` (thermocouple, lamp, crystal at low level) reads A^2 already, so floor and slope are
roots of its readings.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.pairing.rules.null_error import errors, too_neat
from inventory.pairing.rules.null_fit import (
    DB,
    LINEAR,
    SAME,
    SQUARE_LAW,
    TINY,
    NullReading,
    NullRefused,
    by_setting,
    checked,
    in_dial,
)
from inventory.pairing.rules.null_near import ALIKE, KEPT, Choice, chosen, dead_stretch
from inventory.pairing.rules.null_next import next_of

SHALLOW_DB = 10.0  # common practice, no source
CAUTIONS = (
    "A null found with one plug-in unit says nothing of another.",
    "Far from the null the dial is not linear in capacitance and bends the curve: keep the readings near it.",
    "Readings with the plate supply off do not tell the null with it on.",
)  # true of every null; what these readings show stands in NullAnswer.warnings

SAFETY = (
    "Plate supply off, discharged and proved dead before touching the neutralizing control, unless it is built for "
    "live use. High voltage kills; RF burns. Local codes and licensed practice come first."
)


@dataclass(frozen=True, slots=True)
class NullAnswer:
    """The null and how far to trust it.

    ``standard_error``: delta method, residual variance of A^2 with ``freedom`` = readings - 3 degrees of freedom, which
    takes the scatter of A^2 as even. With a linear or dB meter it is mostly the *readings* that scatter evenly; then it
    is too small (its 95 % cover some 85 %) and ``standard_error_even`` is the honest one. Both None for three readings.
    ``depth_db``: largest reading over the floor, 20 lg (A/F); None when the floor is lost in the scatter.
    ``slope``: S, amplitude per division. ``inside``: settings were read on both sides. ``curve``: a, b, c of A^2 in the
    setting. ``by``: which readings decided, all alike or those near the minimum. ``dead``: first and last of settings
    side by side at which the indicator showed nothing. ``floor_known``: False beside a dead stretch, and where the
    floor of the curve lies above the lowest reading. ``left_out``: settings and readings that were set aside.
    """

    setting: float
    standard_error: float | None
    standard_error_even: float | None
    freedom: int
    floor: float
    depth_db: float | None
    slope: float
    points: int
    inside: bool
    warnings: tuple[str, ...]
    next_setting: float | None
    curve: tuple[float, float, float]
    scale: str
    by: str = ALIKE
    dead: tuple[float, float] | None = None
    floor_known: bool = True
    left_out: tuple[tuple[float, float], ...] = ()

    def reading_at(self, setting: float) -> float | None:
        """What the fitted curve reads at a setting, for the chart; None where a dB scale has no figure (nothing)."""
        return on_curve(self.scale, self.slope, self.setting, self.floor, setting)

    def as_dict(self) -> dict[str, object]:
        names = "setting standard_error floor depth_db slope points inside warnings next_setting".split()
        told = {name: getattr(self, name) for name in names} | {"warnings": list(self.warnings)}
        told |= {"decided_by": self.by} if self.by != ALIKE else {}
        told |= {"dead_between": list(self.dead)} if self.dead else {}
        told |= {} if self.floor_known else {"floor_known": False}
        return told | ({"left_out": [list(row) for row in self.left_out]} if self.left_out else {})


def on_curve(scale: str, slope: float, null: float, floor: float, setting: float) -> float | None:
    """What an indicator reads at a setting, by slope, null and floor; None where a dB scale has no figure."""
    square = slope**2 * (setting - null) ** 2 + floor**2
    if scale == DB:
        return 10 * math.log10(square) if square > 0 else None
    return square if scale == SQUARE_LAW else math.sqrt(square)


def find_null(
    readings: Sequence[NullReading], scale: str = LINEAR, low: float | None = None, high: float | None = None
) -> NullAnswer:
    """The setting of least feed-through; ``low`` and ``high`` are the ends of the dial where known.

    Raises NullRefused: fewer than three different settings, no minimum, a figure that is none, a negative amplitude.
    """
    choice = _chosen(readings, checked(readings, scale, low, high), scale)
    fit, screen = choice.fit, choice.screen
    c, b, a = (k * fit.top / fit.half**power for power, k in enumerate(fit.parabola))
    setting = fit.centre + fit.half * fit.x0
    if choice.dead:
        setting = in_dial(setting, *choice.dead)
    floor = math.sqrt(fit.bottom * fit.top) if fit.bottom > TINY and not choice.dead else 0.0
    lowest, most = min(screen.squares), max([*screen.squares, *(_square_of(one, scale) for one in screen.top)])
    above = floor**2 > lowest * (1 + 1e-6)
    depth = 10 * math.log10(most) - 20 * math.log10(floor) if floor and not above else None
    used = [one.setting for one in (*screen.readings, *screen.top)]
    slack = SAME * fit.half
    inside = min(used) < setting - slack and setting + slack < max(used) and not choice.open_ended
    further = next_of(choice, low, high)
    curve = (a, b - 2 * a * fit.centre, c - b * fit.centre + a * fit.centre**2)
    neat = too_neat(choice, scale)
    plain, even = errors(choice, scale, neat)
    told = [
        *screen.told,
        *([" ".join(choice.told)] if choice.told else []),
        *_place_warnings(choice, setting, inside, further, low, high),
        *_shape_warnings(
            choice,
            scale,
            depth,
            10 * math.log10(most / lowest) if lowest and depth is None else None,
            (above, inside, neat),
        ),
    ]
    by = KEPT if choice.left_out and choice.by == ALIKE else choice.by
    return NullAnswer(
        setting, plain, even, len(fit.x) - 3, floor, depth, math.sqrt(a), len(readings), inside,
        tuple(told), further, curve, scale, by, choice.dead, not (choice.dead or above),
        tuple((one.setting, one.reading) for one in (*screen.top, *screen.misread)),
    )  # fmt: skip


def _chosen(readings: Sequence[NullReading], squares: Sequence[float], scale: str) -> Choice:
    """Which readings decide; raises NullRefused where they show no null."""
    if (different := len(by_setting(readings, squares))) < 3:
        raise NullRefused(f"{different} different settings read; a null needs three or more, on both sides of it")
    choice = chosen(readings, squares, scale)
    if choice is None:
        dead = dead_stretch(readings, squares)
        where = f"; the indicator is dead between {dead[0]:g} and {dead[1]:g}" if dead else ""
        raise NullRefused(f"the readings show no minimum: they do not rise on both sides of a lowest one{where}")
    return choice


def _square_of(one: NullReading, scale: str) -> float:
    (square,) = checked([one], scale, None, None)
    return square


def _place_warnings(
    choice: Choice, setting: float, inside: bool, further: float, low: float | None, high: float | None
) -> list[str]:
    fit = choice.fit
    told = []
    if choice.dead:
        low_end, high_end = choice.dead
        where = "nothing was read beyond" if choice.open_ended else "the null lies there, and no reading says where"
        told.append(
            f"The indicator is dead between {low_end:g} and {high_end:g}: {where}. Turn up its sensitivity or the "
            "drive, and read again."
        )
    if not inside and not choice.open_ended:
        side = "below" if fit.x0 < 0 else "above"
        told.append(f"All readings lie on one side: none is {side} the minimum. Read next at {further:g}.")
    elif not inside:
        told.append(f"All that was read lies on one side of it. Read next at {further:g}.")
    if in_dial(setting, low, high) != setting:
        told.append(f"The minimum would lie off the dial, at {setting:g}: this capacitor does not reach the balance.")
    return told


def _shape_warnings(
    choice: Choice, scale: str, depth: float | None, at_least: float | None, shown: tuple[bool, bool, bool]
) -> list[str]:
    """``at_least``: dB from the largest to the lowest reading; ``shown``: whether the floor of the curve lies above
    that, whether readings lie on both sides of the null (else they do not say how deep it is), and ``too_neat``.
    """
    fit, (above, inside, neat) = choice.fit, shown
    told = []
    if choice.dead and not fit.freedom:
        return ["Too few readings beside the dead stretch: take more there."]
    if not fit.freedom:
        told.append("Three readings fit a curve exactly: no standard error. Take more.")
    elif fit.beta[2] < 3 * math.sqrt(fit.variance * fit.inverse[2, 2]):
        told.append("The curve hardly rises above the scatter of the readings: read farther on both sides.")
    if choice.dead:
        return told  # nothing is known of a floor
    if nothing := [one.setting for one in choice.screen.readings if one.reading == 0 and scale != DB]:
        told.append(
            f"Nothing was read at {nothing[0]:g}: that may be an indicator too dull to show what is left there, so it "
            "is no proof of the null. Read close beside it, with more sensitivity."
        )
    if depth is None:
        lost = "no floor shows at this step of the readings" if neat else "it is lost in the scatter"
        why = f"The floor is not above zero, {lost}: taken as 0, depth not known."
        if above:
            why = "No depth is told, since the floor of the curve lies above the lowest reading."
        by_eye = f" By the lowest reading the null lies {at_least:.1f} dB below the largest." if at_least else ""
        told.append(why + by_eye)
    elif inside and depth < SHALLOW_DB - 1e-6:
        told.append(
            f"Shallow null, {depth:.1f} dB from the largest reading: look for stray coupling, an uneven tap or a bad "
            "ground rather than at the capacitor, or read farther from it."
        )
    return told
