"""Readings that say nothing of the null, set aside before a curve is fitted: the top of the scale, a misread figure.

An indicator at the top of its scale no longer rises: settings side by side at the end of what was read, all at the
largest reading. A misread figure lies off all that its neighbours lead to, and the curve through the others misses it
by a modified z-score above 3.5 (median absolute deviation; Iglewicz and Hoaglin, in NIST/SEMATECH e-Handbook of
Statistical Methods, 1.3.5.17) and by more than Student's t of its deleted residual allows. One reading in five at most
is set aside so, two in all.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory.pairing.rules.null_fit import (
    DB,
    LINEAR,
    Fit,
    NullReading,
    NullRefused,
    Vector,
    by_setting,
    fitted,
    groups,
    student_t,
    weighted,
)

SOURCE = "modified z-score above 3.5, Iglewicz and Hoaglin, NIST/SEMATECH e-Handbook 1.3.5.17"
MOST_Z = 3.5  # same source
_ALIKE = 0.995  # readings that differ by less than half a percent no longer rise (our choice)
_PLAIN = 0.15  # of the largest other amplitude: a smaller slip is left to the scatter (our choice)
_MOST, _TRIED = 2, 5  # set aside at most; looked at each time
_DEEP = 0.25  # in power: a low lies 6 dB or more under what parts it from another (our choice)
_HILL = 0.09  # in power: what parts them stands at 30 % or more of the largest amplitude (our choice)


@dataclass(frozen=True, slots=True)
class Screen:
    """What is left to fit a curve to, with the squares of its amplitudes, and what was set aside."""

    readings: list[NullReading]
    squares: list[float]
    top: tuple[NullReading, ...] = ()
    misread: tuple[NullReading, ...] = ()

    @property
    def told(self) -> list[str]:
        told = []
        if self.top:
            level = max(one.reading for one in self.top)
            settings = ", ".join(f"{setting:g}" for setting in sorted({one.setting for one in self.top}))
            told.append(
                f"At {settings} the indicator no longer rises: {level:g} is taken as the top of its scale, and these "
                "readings are left out."
            )
        told += [
            f"The reading {one.reading:g} at {one.setting:g} does not fit its neighbours: read it again. It is left "
            f"out ({SOURCE})."
            for one in self.misread
        ]
        return told


def screened(readings: Sequence[NullReading], squares: Sequence[float], scale: str) -> Screen:
    """The readings to fit a curve to. Readings with weights of the keeper's own are only freed of the top of a scale.

    Raises NullRefused where too little is left, or where two lows are read.
    """
    kept, top = _below_the_top(list(range(len(readings))), readings, squares)
    misread: list[int] = []
    even = len({one.weight for one in readings}) == 1
    while even and len(misread) < min(_MOST, len(readings) // 5):
        found = _misread([readings[i] for i in kept], [squares[i] for i in kept], scale)
        if found is None:
            break
        misread.append(kept.pop(found))
        kept, more = _below_the_top(kept, readings, squares)
        top += more
    screen = Screen(
        [readings[i] for i in kept],
        [squares[i] for i in kept],
        tuple(readings[i] for i in top),
        tuple(readings[i] for i in misread),
    )
    _refuse_what_is_left(screen)
    return screen


def _below_the_top(
    kept: list[int], readings: Sequence[NullReading], squares: Sequence[float]
) -> tuple[list[int], list[int]]:
    """Numbers of the readings below the top of the scale, and of those at it."""
    known = by_setting([readings[i] for i in kept], [squares[i] for i in kept])
    most = max((square for _, square in known), default=0.0)
    if not most or min(square for _, square in known) > _DEEP * most:
        return kept, []
    limit = most * _ALIKE**2
    if not (_flat_end(known, limit) or _flat_end(known[::-1], limit)):
        return kept, []
    return [i for i in kept if squares[i] < limit], [i for i in kept if squares[i] >= limit]


def _flat_end(known: Sequence[tuple[float, float]], limit: float) -> bool:
    """Whether the first of these settings all read the most, where by the next one they should still have risen."""
    first_below = next(i for i, (_, square) in enumerate(known) if square < limit)
    if first_below < 2:
        return False
    (outer, most), (inner, _), (nearer, square) = known[0], known[first_below - 1], known[first_below]
    rises = (1 - math.sqrt(square / most)) / abs(inner - nearer)
    return rises * abs(outer - inner) > 4 * (1 - _ALIKE)


def _refuse_what_is_left(screen: Screen) -> None:
    known = by_setting(screen.readings, screen.squares)
    doubt = f"; {screen.told[-1][:1].lower()}{screen.told[-1][1:].rstrip('.')}" if screen.misread else ""
    if screen.top and len(known) < 3:
        low, high = below_the_top(screen)
        raise NullRefused(
            f"the readings show no minimum yet: only {len(known)} of them lie{'s' * (len(known) == 1)} below the top "
            f"of the scale. Read more between {low:g} and {high:g}, or turn the indicator down{doubt}",
            (low + high) / 2,
        )
    if two := two_lows(known):
        (first, second), between = two
        raise NullRefused(
            f"the readings show two lows, at {first:g} and {second:g}, and rise to twice as much or more between: one "
            f"curve cannot tell which is the null. Read again at {between:g}, then round one low alone{doubt}",
            between,
        )


def below_the_top(screen: Screen) -> tuple[float, float]:
    """The nearest settings at the top of the scale on either side of what lies below it (else that itself)."""
    inner = [one.setting for one in screen.readings]
    below = [one.setting for one in screen.top if one.setting < min(inner)]
    above = [one.setting for one in screen.top if one.setting > max(inner)]
    return max(below, default=min(inner)), min(above, default=max(inner))


def two_lows(known: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], float] | None:
    """Settings of two lows with 6 dB or more between them and what lies between, and where that is highest."""
    if len(known) < 5:
        return None
    squares = [square for _, square in known]
    high = _HILL * max(squares)
    least = min(range(len(known)), key=squares.__getitem__)
    found: list[tuple[float, int, int]] = []
    for step in (-1, 1):
        peak = least
        i = least + step
        while 0 <= i < len(known):
            if squares[i] > squares[peak]:
                peak = i
            elif squares[peak] > high and squares[i] <= _DEEP * squares[peak]:
                found.append((squares[i] / squares[peak], i, peak))
            i += step
    if not found:
        return None
    _, other, peak = min(found)
    first, second = sorted((known[least][0], known[other][0]))
    return (first, second), known[peak][0]


def _misread(readings: Sequence[NullReading], squares: Sequence[float], scale: str) -> int | None:
    """Number of the reading that fits the curve through the others worst, if that is beyond all scatter."""
    if len(by_setting(readings, squares)) < 6 or not any(squares):
        return None
    amplitudes = np.sqrt(np.array(squares))
    worst = [(score, i) for i in _suspects(readings, amplitudes) if (score := _score(readings, amplitudes, i, scale))]
    return max(worst)[1] if worst else None


def _suspects(readings: Sequence[NullReading], amplitudes: Vector) -> list[int]:
    """Readings off all that their neighbours lead to, by a part of the largest of the others; a bend is passed over.

    Led to is whatever lies among the straight lines through the two settings below, the two above, and one on either
    side; at an end also what the nearest one reads, since an indicator may flatten off.
    """
    settings = np.array([one.setting for one in readings])
    labels = groups(settings)
    counts = np.bincount(labels)
    places = (np.bincount(labels, settings) / counts).tolist()
    means = (np.bincount(labels, amplitudes) / counts).tolist()
    *_, second_most, most = sorted(values := amplitudes.tolist())
    found: list[tuple[float, int]] = []
    for i, label in enumerate(labels.tolist()):
        led = [values[k] for k in np.flatnonzero(labels == label) if k != i] if counts[label] > 1 else []
        pairs = [(label - 2, label - 1), (label + 1, label + 2), (label - 1, label + 1)]
        for first, second in pairs:
            if first >= 0 and second < len(places):
                slope = (means[second] - means[first]) / (places[second] - places[first])
                led.append(abs(means[first] + slope * (places[label] - places[first])))
        if label in (0, len(places) - 1):
            led.append(means[1 if label == 0 else -2])
        off = max(min(led) - values[i], values[i] - max(led))
        if off > _PLAIN * (second_most if values[i] == most else most):
            found.append((off, i))
    return [i for _, i in sorted(found)[-_TRIED:]]


def _score(readings: Sequence[NullReading], amplitudes: Vector, i: int, scale: str) -> float:
    """Modified z-score of a reading by the curve through the others; 0 where it may be one of them."""
    others = [k for k in range(len(readings)) if k != i]
    rest = fitted([readings[k] for k in others], (amplitudes[others] ** 2).tolist())
    near = weighted(rest, 2) if rest else None
    if near is None:
        return 0.0
    top = float(amplitudes[others].max())
    here = near.to_x(readings[i].setting)
    own = _spread(np.array([amplitudes[i]]), near, np.array([here]), scale)[0]
    scatter = _spread(amplitudes[others], near, near.x, scale)
    amplitude_off = abs(float(amplitudes[i]) - _amplitude(near, np.array([here]))[0])
    if amplitude_off < _PLAIN * top:
        return 0.0
    shape = np.array([1.0, here, here * here])
    leverage = float(near.weight_at(np.array([here]))[0] * (shape @ near.inverse @ shape))
    deviation = float(np.median(np.abs(scatter - np.median(scatter))))
    z = 0.6745 * abs(own - float(np.median(scatter))) / max(deviation, 1e-3 * top)
    variance = max(float(scatter @ scatter) / near.freedom, (1e-3 * top) ** 2)
    limit = student_t(1 - 0.005 / len(readings), near.freedom) if near.freedom else np.inf
    return z if z > MOST_Z and own**2 > limit**2 * variance * (1 + leverage) else 0.0


def _amplitude(fit: Fit, places: Vector) -> Vector:
    amplitudes: Vector = np.sqrt(np.maximum(fit.curve(places), 0.0) * fit.top)
    return amplitudes


def _spread(amplitudes: Vector, fit: Fit, places: Vector, scale: str) -> Vector:
    """Residuals of the amplitude, over how the scatter of a reading grows with it."""
    curve = _amplitude(fit, places)
    if scale == LINEAR:
        return amplitudes - curve
    part: Vector = np.maximum(curve / np.sqrt(fit.top), 0.1)
    return (amplitudes - curve) / part if scale == DB else (amplitudes - curve) * part
