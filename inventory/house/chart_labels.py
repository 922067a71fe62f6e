"""Words and round values on charts drawn on the server: no word lies over another, none leaves the drawing."""

import math
from collections.abc import Iterable

LETTER = 0.62  # width of a letter as part of its size, the wide ones among them
TINY = 1e-9  # no figure of ours differs by less
GAP = 6.0  # between two words, in the units of the drawing

Label = tuple[float, str, str]  # x, words, how they are anchored: start, middle, end


def round_values(low: float, high: float, most: int = 6) -> list[float]:
    """Round values between two ends, at most ``most``: steps of 1, 2 or 5."""
    span = high - low
    if not (span > TINY and math.isfinite(span)):
        return [low]
    power = 10 ** math.floor(math.log10(span / most))
    step = next(factor * power for factor in (1, 2, 5, 10, 20) if span / (factor * power) <= most)
    first = math.ceil(low / step - 1e-9)
    return [round(number * step, 10) for number in range(first, math.floor(high / step + 1e-9) + 1)]


def width_of(words: str, size: float) -> float:
    """How much room some words take at a size of letters; rather more than less."""
    return len(words) * LETTER * size


def extent(label: Label, size: float) -> tuple[float, float]:
    """From where to where a label reaches."""
    x, words, anchor = label
    wide = width_of(words, size)
    low = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    return low, low + wide


def spread(places: Iterable[tuple[float, str]], size: float, left: float, right: float, anchor: str) -> list[Label]:
    """The words at places along an axis, from the left, without those that would lie over the one before.

    ``anchor``: as they stand where there is room; at an end of the drawing they lean inwards.
    """
    shown: list[Label] = []
    edge = left - GAP
    for x, words in places:
        label = (x, words, anchor)
        low, high = extent(label, size)
        if high > right:
            label = (min(x, right), words, "end")
        elif low < left:
            label = (max(x, left), words, "start")
        low, high = extent(label, size)
        if low - edge >= GAP and high <= right + 0.5:
            shown.append(label)
            edge = high
    return shown


def room_between(start: float, stop: float, blocks: Iterable[tuple[float, float]], wide: float) -> float | None:
    """Where words of some width can begin between two ends, clear of what lies there; None where nowhere."""
    at = start
    for low, high in sorted(blocks):
        if at + wide <= min(low, stop):
            return at
        at = max(at, high)
    return at if at + wide <= stop else None
