"""The limit that the start sheet prints at a check, and whether a reading keeps it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limit:
    """From ``least`` to ``most``, in the unit of the check. With one of them alone a reading must lie beyond it; below
    ``most`` alone counts either way round, as a meter may be clipped on.
    """

    least: float | None = None
    most: float | None = None

    def keeps(self, reading: float) -> bool:
        """Whether a reading lies within it."""
        if self.least is not None and self.most is not None:
            return self.least <= reading <= self.most
        if self.most is not None:
            return abs(reading) < self.most
        return self.least is None or reading > self.least

    def told(self, unit: str) -> str:
        """As the sheet prints it: ``below 1 ohm``."""
        if self.least is not None and self.most is not None:
            return f"{self.least:.4g} to {self.most:.4g} {unit}"
        if self.most is not None:
            return f"below {self.most:.4g} {unit}"
        return f"above {self.least:.4g} {unit}" if self.least is not None else ""


NO_LIMIT = Limit()
HALF_LIMITS = frozenset({"b-plus"})  # checks whose limit names what is too little: far too much is as wrong


def around(value: float, pct: float | None) -> Limit:
    """So many per cent to either side of a value; no limit where that is not known."""
    return Limit(value * (1 - pct / 100), value * (1 + pct / 100)) if pct is not None else NO_LIMIT
