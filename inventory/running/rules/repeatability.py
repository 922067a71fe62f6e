"""Repeatability of an instrument from readings of the same tube taken again: measure it, no published figure was found.

For pairs ``s = sqrt(sum d^2 / (2 n))``; for more readings of a tube the pooled standard deviation, which is the same
for pairs. Two single readings differ by more than ``1.96 sqrt(2) s`` one time in twenty (ISO 5725 usage, from memory;
normal scatter).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

TWO_READINGS = 1.96 * math.sqrt(2)
FEW = 5  # degrees of freedom below which the figure is called rough; our choice


class RepeatabilityRefused(ValueError):
    """Readings that give no repeatability; the text is one line."""


@dataclass(frozen=True, slots=True)
class Repeatability:
    """``s``: standard deviation of one reading, on the instrument's scale, 95 % interval ``low`` to ``high``.

    ``limit``: two single readings of one tube differ by more only one time in twenty.
    """

    s: float
    limit: float
    tubes: int
    freedom: int
    low: float
    high: float
    remarks: tuple[str, ...]


def repeatability(repeats: Sequence[Sequence[float]]) -> Repeatability:
    """From the readings of each tube, taken again on one instrument with the same settings.

    Raises RepeatabilityRefused: no tube with two readings, a figure that is none.
    """
    again = [readings for readings in repeats if len(readings) > 1]
    if not again:
        raise RepeatabilityRefused("no tube was read twice; read some tubes again, with nothing changed")
    if not all(math.isfinite(one) for readings in again for one in readings):
        raise RepeatabilityRefused("a reading is no finite figure")
    from scipy.special import gammaincinv  # takes a quarter of a second to load: only when asked

    squares = sum(_squares(readings) for readings in again)
    freedom = sum(len(readings) - 1 for readings in again)
    s = math.sqrt(squares / freedom)
    low, high = (math.sqrt(squares / (2 * float(gammaincinv(freedom / 2, part)))) for part in (0.975, 0.025))
    few = freedom < FEW
    told = (f"From {freedom} repeated readings only: a rough figure.",) if few else ()
    return Repeatability(s, TWO_READINGS * s, len(again), freedom, low, high, told)


def _squares(readings: Sequence[float]) -> float:
    mean = math.fsum(readings) / len(readings)
    return math.fsum((one - mean) ** 2 for one in readings)
