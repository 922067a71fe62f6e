"""A null as it is kept with a neutralization: the readings as taken, and what was found from them on that day.

Readings are rows [setting, reading] or [setting, reading, weight]; the fit is a dict with the keys of ``KEYS``: figures
of ``NullAnswer`` (dial divisions; amplitudes in the unit of the readings; depth in dB), None where there is none.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.pairing.rules.null import NullAnswer, on_curve
from inventory.pairing.rules.null_fit import MOST_READINGS, NullReading

KEYS = ("setting", "standard_error", "floor", "depth_db", "slope", "points", "inside", "warnings")
_MAY_BE_NONE = ("standard_error", "depth_db")


@dataclass(frozen=True, slots=True)
class KeptNull:
    """What was found from the readings of a neutralization, with the scale of the indicator they were read on."""

    scale: str
    setting: float
    standard_error: float | None
    floor: float
    depth_db: float | None
    slope: float
    points: int
    inside: bool
    warnings: tuple[str, ...]

    def reading_at(self, setting: float) -> float | None:
        """What the fitted curve reads at a setting; None where a dB scale has no figure."""
        return on_curve(self.scale, self.slope, self.setting, self.floor, setting)


def rows_of(readings: Sequence[NullReading]) -> list[list[float]]:
    """Readings as they are kept."""
    return [[one.setting, one.reading] + ([one.weight] if one.weight != 1 else []) for one in readings]


def readings_of(rows: Sequence[Sequence[float]]) -> list[NullReading]:
    """Kept readings as the null finder takes them."""
    return [NullReading(float(row[0]), float(row[1]), float(row[2]) if len(row) > 2 else 1.0) for row in rows]


def fit_of(answer: NullAnswer) -> dict[str, Any]:
    """An answer of the null finder as it is kept."""
    return {name: getattr(answer, name) for name in KEYS} | {"warnings": list(answer.warnings)}


def kept_null(fit: Mapping[str, Any], scale: str) -> KeptNull | None:
    """A kept fit, to be shown and drawn again; None where none was kept."""
    if not fit:
        return None
    return KeptNull(scale, **{name: fit[name] for name in KEYS} | {"warnings": tuple(fit["warnings"])})


def fault_in_rows(rows: Any) -> str:
    """What is wrong with readings to be kept, or an empty text."""
    if not isinstance(rows, list):
        return f"readings are {_short(rows)}; expected a list of pairs of setting and reading"
    if len(rows) > MOST_READINGS:
        return f"{len(rows)} readings; at most {MOST_READINGS} are kept"
    for number, row in enumerate(rows, 1):
        if not isinstance(row, list) or len(row) not in (2, 3) or not all(map(_is_figure, row)):
            return f"reading {number} is {_short(row)}; expected a setting and a reading, both figures"
    return ""


def fault_in_fit(fit: Any) -> str:
    """What is wrong with a fit to be kept, or an empty text."""
    if not isinstance(fit, dict) or set(fit) not in (set(), set(KEYS)):
        return f"the null found is {_short(fit)}; expected the figures {', '.join(KEYS)}"
    for name, value in fit.items():
        if name == "inside":
            good = isinstance(value, bool)
        elif name == "warnings":
            good = isinstance(value, list) and all(isinstance(text, str) for text in value)
        else:
            good = _is_figure(value) or (value is None and name in _MAY_BE_NONE)
        if not good:
            return f"{name} of the null found is {_short(value)}, which it cannot be"
    return ""


def _is_figure(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= 1e300


def _short(value: Any) -> str:
    return repr(value)[:40]
