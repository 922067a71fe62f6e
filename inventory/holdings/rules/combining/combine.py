"""A wanted part from stock: single lots, and two or three pieces in series or parallel that do its work.

A choice serves where its nominal value is within the wanted tolerance, and where every piece is within its own rating
when the whole has the wanted power, voltage or current on it, shared by the nominal values (``sharing``). What their
own tolerances can make of value and share is told beside it and decides nothing. Fewest pieces first, then the
closest; of equal ones series before parallel, then smaller pieces, then earlier lots. Pieces that are alike in all
figures count as one lot. Equalizing resistors: common practice, no source.
"""

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from inventory.holdings.rules.combining.search import SLIP, Stock, count_sums, nearest_sums
from inventory.holdings.rules.combining.sharing import (
    ADDED,
    HOWS,
    PARALLEL,
    SERIES,
    SHARED,
    UNITS,
    StockPart,
    added,
    adds,
    bears,
    combined,
    least_sum,
    worst_share,
    worst_values,
)
from inventory.holdings.rules.constructions import construction_of
from inventory.holdings.rules.part_kinds import KINDS, PartFigures, show_value

MOST = 100  # combinations that an answer names
WIDEST = 90.0  # %: a tolerance beyond that is none


@dataclass(frozen=True, slots=True)
class Combination:
    """Pieces that together do the work of one part. ``parts``: a lot of which two pieces are taken stands there twice.

    ``value`` in the unit of the kind; ``error_pct`` from the wanted value, with its sign; ``low``, ``high``: the value
    with every piece anywhere in its tolerance; ``volts``, ``watts``, ``amps``: what it bears. None: not known.
    """

    kind: str
    parts: tuple[StockPart, ...]
    how: str  # "single" for one piece
    value: float
    error_pct: float
    low: float | None = None
    high: float | None = None
    volts: float | None = None
    watts: float | None = None
    amps: float | None = None
    cautions: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What it is: 135 ohm + 135 ohm in series."""
        told = " + ".join(show_value(self.kind, part.value) for part in self.parts)
        return told if len(self.parts) == 1 else f"{told} in {self.how}"

    @property
    def value_text(self) -> str:
        return show_value(self.kind, float(f"{self.value:.4g}"))

    @property
    def lots(self) -> str:
        """The lots that the pieces are of, each with how many: 2 of P-0007."""
        return "; ".join(f"{number} of {lot}" for lot, number in Counter(part.lot for part in self.parts).items())

    @property
    def borne(self) -> str:
        """What it bears, in words; empty where that is not known."""
        rated = ((getattr(self, name), unit) for name, unit in UNITS.items())
        return ", ".join(f"{figure:.4g} {unit}" for figure, unit in rated if figure is not None)

    def as_dict(self) -> dict[str, object]:
        return {
            "parts": [
                {"lot": part.lot, "value": part.value, "value_text": show_value(self.kind, part.value),
                 "tolerance_pct": part.tolerance_pct, "volts": part.volts, "watts": part.watts, "amps": part.amps,
                 "construction": part.made}
                for part in self.parts
            ],
            "how": self.how, "value": self.value, "unit": KINDS[self.kind].unit, "error_pct": self.error_pct,
            "worst_low": self.low, "worst_high": self.high, "voltage_v": self.volts, "power_w": self.watts,
            "current_a": self.amps, "text": self.words, "cautions": list(self.cautions),
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Combined:
    """What serves of a stock: the nearest, and how many there are in all."""

    wanted: PartFigures
    single: tuple[Combination, ...] = ()
    combinations: tuple[Combination, ...] = ()
    count_single: int = 0
    count: int = 0
    remarks: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, object]:
        wanted = self.wanted
        return {
            "wanted": {
                "kind": wanted.kind, "value": wanted.value, "unit": KINDS[wanted.kind].unit,
                "value_text": show_value(wanted.kind, wanted.value), "tolerance_pct": wanted.tolerance_pct,
                "volts": wanted.volts, "watts": wanted.watts, "amps": wanted.amps,
            },
            "single": [one.as_dict() for one in self.single],
            "combinations": [one.as_dict() for one in self.combinations],
            "more_single": self.count_single - len(self.single), "more": self.count - len(self.combinations),
            "remarks": list(self.remarks),
        }  # fmt: skip


def combine(
    wanted: PartFigures, stock: Sequence[StockPart], most: int = MOST, needed: bool = False
) -> Combined:  # fmt: skip
    """Single pieces and combinations of two and three out of a stock that do the work of a wanted part.

    ``wanted``: a resistor, capacitor or inductor with its value and tolerance (None: its very value), and what it has
    on it of ``volts``, ``watts``, ``amps`` (None: not looked at). ``needed``: only combinations of which every
    piece is needed, of which no smaller choice does the work in the same way. Raises ValueError for what cannot be
    combined.
    """
    value = wanted.value
    if wanted.kind not in ADDED or value is None or not (0 < value < math.inf):
        raise ValueError("only resistors, capacitors and inductors of a value above 0 are combined")
    slack = wanted.tolerance_pct or 0.0
    if not 0 <= slack <= WIDEST:
        raise ValueError(f"a tolerance of {slack:g} % is out of range: 0 to {WIDEST:g}")
    loads = {name: load for name in UNITS if (load := getattr(wanted, name)) is not None}
    lots = _alike(stock)
    ones = [one for one in lots if one.quantity and abs(one.value - value) <= value * (slack / 100 + SLIP)]
    ones = [one for one in ones if least_sum(wanted.kind, "", one, loads) == 0]
    if needed:
        lots = [one for one in lots if one not in ones]
    singles = sorted((_told(wanted, "single", [one]) for one in ones), key=lambda one: abs(one.error_pct))
    count = 0
    found: list[Combination] = []
    for size in (2, 3):
        near: list[tuple[float, int, list[StockPart]]] = []
        for number, how in enumerate(HOWS):
            rows, window, error = _laid_out(wanted, how, lots, loads)
            low, high = window(slack)
            count += count_sums(rows, size, low, high, needed)
            if len(found) < most:
                nearest = nearest_sums(rows, size, slack, window, error, most - len(found), needed)
                near += [(off, number, [lots[at] for at in which]) for off, which in nearest]
        near.sort(key=lambda one: one[:2])
        found += [_told(wanted, HOWS[number], parts) for _, number, parts in near[: most - len(found)]]
    remarks = _remarks(wanted, loads)
    return Combined(wanted, tuple(singles[:most]), tuple(found), len(singles), count, remarks)


def _alike(stock: Sequence[StockPart]) -> list[StockPart]:
    """The lots of a stock, those that are alike in all figures as one, in the order of the first of each."""
    names: dict[StockPart, list[str]] = defaultdict(list)
    held: dict[StockPart, int] = defaultdict(int)
    for part in stock:
        figures = replace(part, lot="", quantity=0)
        if part.quantity > 0:
            names[figures].append(part.lot)
            held[figures] += part.quantity
    return [replace(one, lot=", ".join(names[one]), quantity=held[one]) for one in names]


Window = Callable[[float], tuple[float, float]]
Errors = Callable[[NDArray[np.float64]], NDArray[np.float64]]


def _laid_out(
    wanted: PartFigures, how: str, lots: Sequence[StockPart], loads: dict[str, float]
) -> tuple[Stock, Window, Errors]:
    """The lots by what is added, which sums are within so many %, and how far sums are off, in %."""
    kind, value = wanted.kind, wanted.value or 1.0

    def window(off: float) -> tuple[float, float]:
        ends = sorted(added(kind, how, value * (1 + sign * off / 100)) for sign in (-1, 1))
        return ends[0] * (1 - SLIP), ends[1] * (1 + SLIP)

    def error(sums: NDArray[np.float64]) -> NDArray[np.float64]:
        values = sums if adds(kind, how) else 1 / sums
        return np.asarray(np.round(np.abs(values / value - 1) * 100, 9))

    x = [added(kind, how, lot.value) for lot in lots]
    floors = [least_sum(kind, how, lot, loads) for lot in lots]
    return Stock.of(x, floors, [lot.quantity for lot in lots], window(wanted.tolerance_pct or 0.0)[1]), window, error


def _told(wanted: PartFigures, how: str, parts: Sequence[StockPart]) -> Combination:
    kind = wanted.kind
    value = combined(kind, how, [part.value for part in parts]) if len(parts) > 1 else parts[0].value
    low, high = worst_values(kind, how, parts) or (None, None)
    borne = {name: bears(kind, how, parts, name) for name in UNITS}
    off = round((value / (wanted.value or 1.0) - 1) * 100, 9) + 0.0  # no -0
    cautions = tuple(_cautions(wanted, how, parts, low, high))
    return Combination(kind, tuple(parts), how, value, off, low, high, **borne, cautions=cautions)


def _cautions(
    wanted: PartFigures, how: str, parts: Sequence[StockPart], low: float | None, high: float | None
) -> list[str]:
    kind, told = wanted.kind, []
    if low is None or high is None:
        told.append("The tolerance of a piece is not known: measure the value before it is used.")
    elif wanted.value and wanted.tolerance_pct is not None:
        slack = wanted.value * (wanted.tolerance_pct / 100 + SLIP)
        if low < wanted.value - slack or high > wanted.value + slack:
            ends = f"{show_value(kind, low)} to {show_value(kind, high)}"
            told.append(f"With the tolerance of the pieces it may be {ends}: measure and choose.")
    for name in SHARED.get((kind, how), ()):
        told += _worst(wanted, how, parts, name)
    if kind == "capacitor" and how == SERIES:
        told.append(
            "Steady voltage is shared by leakage, not by capacitance: put an equalizing resistor across each, of "
            "resistances in the ratio of the voltages, each fit for its voltage and carrying several times the leakage "
            "(common practice, no source). Never take a point between them for discharged."
        )
    made = {part.made: construction_of(kind, part.made) for part in parts}
    told += [f"{one.key[0].upper()}{one.key[1:]}: {care}." for one in made.values() if one for care in one.cares]
    if kind == "inductor" and len(parts) > 1:
        told.append("Taken as not coupled: stand them apart or at right angles.")
    return told


def _worst(wanted: PartFigures, how: str, parts: Sequence[StockPart], name: str) -> list[str]:
    """Pieces that can be past their rating where all tolerances go against them."""
    load, told = getattr(wanted, name), []
    for at, part in enumerate(parts):
        rating, share = getattr(part, name), worst_share(wanted.kind, how, parts, at)
        if load is not None and rating is not None and share is not None and share * load > rating * (1 + SLIP):
            most, unit = share * load, UNITS[name]
            told.append(
                f"With all tolerances against it the {show_value(wanted.kind, part.value)} has {most:.4g} {unit} on it "
                f"and is rated for {rating:g} {unit}: match by measuring, or take a higher rating."
            )
    return list(dict.fromkeys(told))


def _remarks(wanted: PartFigures, loads: dict[str, float]) -> tuple[str, ...]:
    asked = {SHARED[key][0] for key in SHARED if key[0] == wanted.kind}
    told = [
        f"No {word} was given, so the rating for it was not looked at."
        for name, word in (("watts", "power"), ("volts", "voltage"), ("amps", "current"))
        if name in asked and name not in loads
    ]
    if wanted.kind == "resistor" and "volts" not in loads:
        told.append("Resistors bear no more than their own highest voltage either: look it up where it is high.")
    if wanted.tolerance_pct is None:
        told.append("No tolerance was given: only the very value counts.")
    return tuple(told)


__all__ = ["MOST", "PARALLEL", "Combination", "Combined", "StockPart", "combine"]
