"""How parts in series or parallel add up, and how they share what is put on them.

Ohm's law and the laws of series and parallel elements: resistors and inductors add in series, capacitors in parallel;
the other way their reciprocals add. What is shared is shared in the ratio of just what is added: the power of
resistors either way, the voltage of resistors and capacitors in series, the current of inductors in parallel.
Inductors are taken as not coupled.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

SERIES, PARALLEL = "series", "parallel"
HOWS = (SERIES, PARALLEL)
UNITS = {"volts": "V", "watts": "W", "amps": "A"}

#: By kind: the way in which the values themselves are added; what is shared by way; what is on each part in full.
ADDED = {"resistor": SERIES, "inductor": SERIES, "capacitor": PARALLEL}
SHARED = {
    ("resistor", SERIES): ("watts", "volts"), ("resistor", PARALLEL): ("watts",),
    ("capacitor", SERIES): ("volts",), ("inductor", PARALLEL): ("amps",),
}  # fmt: skip
WHOLE = {("resistor", PARALLEL): ("volts",), ("capacitor", PARALLEL): ("volts",), ("inductor", SERIES): ("amps",)}
#: What a lot of each kind is rated in, where a table has one column for it.
RATED_IN = {"resistor": "watts", "capacitor": "volts", "inductor": "amps"}


@dataclass(frozen=True, slots=True)
class StockPart:
    """A lot that combinations are made of. ``value`` in the unit of its kind; None: not known.

    ``lot``: what it goes by; ``quantity``: how many there are; ``made``: its construction.
    """

    lot: str
    value: float
    quantity: int = 1
    tolerance_pct: float | None = None
    volts: float | None = None
    watts: float | None = None
    amps: float | None = None
    made: str = ""


def rated_part(part: StockPart, name: str, rating: float | None) -> StockPart:
    """A part with one of its ratings, by name, set."""
    ratings = {each: getattr(part, each) for each in UNITS} | {name: rating}
    return replace(part, volts=ratings["volts"], watts=ratings["watts"], amps=ratings["amps"])


def adds(kind: str, how: str) -> bool:
    """Whether the values themselves are added; else their reciprocals are."""
    return ADDED[kind] == how


def added(kind: str, how: str, value: float) -> float:
    """What of a part is added: its value or the reciprocal of it. The same turns a sum back into a value."""
    return value if adds(kind, how) else 1 / value


def combined(kind: str, how: str, values: Sequence[float]) -> float:
    """The value of parts together."""
    return rounded(added(kind, how, sum(added(kind, how, value) for value in values)))


def rounded(figure: float) -> float:
    """A figure without what its last places in binary add: 510, and not 510.00000000000006."""
    return float(f"{figure:.12g}")


def least_sum(kind: str, how: str, part: StockPart, loads: dict[str, float]) -> float:
    """The smallest sum in which a part bears its share of some loads (by name of the rating); infinite: in none.

    A part whose share is ``load * x / sum`` of a load bears it where the sum is at least ``load * x / rating``. A
    rating that is asked and not known is none.
    """
    least = 0.0
    for name, load in loads.items():
        rating = getattr(part, name) or 0.0
        if rating <= 0:
            return float("inf")
        if name in SHARED.get((kind, how), ()):
            least = max(least, load * added(kind, how, part.value) / rating)
        elif rating < load * (1 - 1e-9):
            return float("inf")
    return least


def bears(kind: str, how: str, parts: Sequence[StockPart], name: str) -> float | None:
    """How much of a load (``volts``, ``watts``, ``amps``) parts bear together before the first is at its rating.

    None where a rating is not known, or the load is nothing that the kind shares.
    """
    ratings = [getattr(part, name) for part in parts]
    if any(rating is None for rating in ratings):
        return None
    if len(parts) == 1 or name in WHOLE.get((kind, how), ()):
        return float(min(ratings))
    if name not in SHARED.get((kind, how), ()):
        return None
    of_each = [added(kind, how, part.value) for part in parts]
    return rounded(min(rating * sum(of_each) / each for rating, each in zip(ratings, of_each, strict=True)))


def worst_share(kind: str, how: str, parts: Sequence[StockPart], at: int) -> float | None:
    """The largest share of a load that one part can have with all values anywhere in their tolerances, 0 to 1.

    None where a tolerance is not known or is 100 % and more.
    """
    ends = [_ends(kind, how, part) for part in parts]
    if any(end is None for end in ends):
        return None
    most = ends[at][1]  # type: ignore[index]
    return most / (most + sum(end[0] for number, end in enumerate(ends) if end and number != at))


def worst_values(kind: str, how: str, parts: Sequence[StockPart]) -> tuple[float, float] | None:
    """The lowest and the highest value of parts together with each anywhere in its tolerance; None: not known."""
    if any(part.tolerance_pct is None or part.tolerance_pct >= 100 for part in parts):
        return None
    low, high = (
        combined(kind, how, [part.value * (1 + sign * (part.tolerance_pct or 0) / 100) for part in parts])
        for sign in (-1, 1)
    )
    return low, high


def _ends(kind: str, how: str, part: StockPart) -> tuple[float, float] | None:
    if part.tolerance_pct is None or part.tolerance_pct >= 100:
        return None
    slack = part.tolerance_pct / 100
    one, other = (added(kind, how, part.value * (1 + sign * slack)) for sign in (-1, 1))
    return min(one, other), max(one, other)
