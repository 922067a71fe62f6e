"""Preferred values of IEC 60063: the series E3 to E192, the nearest value of one, and whether a value is of one.

E48, E96 and E192 are ``10^(i/n)`` rounded to three figures, but for 9.20, where the formula gives 9.19 (from memory).
E24 and the coarser ones stand as a list: the formula misses eight of them (encyclopaedia article "E series of preferred
numbers", copy at twiki.owiki.org; list at qsl.net/g4usp). Preferred values came into use for composition resistors in
1936 (RMA, so handwiki.org, "E series"): older sets carry others, such as 250 and 500 kohm, which are as good.
"""

from decimal import Decimal
from functools import cache

SERIES = (3, 6, 12, 24, 48, 96, 192)
_E24 = tuple(
    int(figure) for figure in "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91".split()
)
#: Where the formula is not what the standard says: index and value in E192, in hundredths.
_E192_SAID = {185: 920}


@cache
def series(number: int) -> tuple[Decimal, ...]:
    """The values of a series from 1 to below 10, rising. Raises ValueError where there is no such series."""
    if number not in SERIES:
        raise ValueError(f"E{number} is no series; there are {', '.join(f'E{one}' for one in SERIES)}")
    if number <= 24:
        return tuple(Decimal(figure) / 10 for figure in _E24[:: 24 // number])
    step = 192 // number
    return tuple(Decimal(_E192_SAID.get(at, round(100 * 10 ** (at / 192)))) / 100 for at in range(0, 192, step))


def parted(value: Decimal) -> tuple[Decimal, int]:
    """A value as a number from 1 to below 10 and a power of ten. Raises ValueError for what is not above 0."""
    if not value.is_finite() or value <= 0:
        raise ValueError(f"{value} is no value of a part; expected more than 0")
    power = value.adjusted()
    return value.scaleb(-power), power


def nearest(value: Decimal, number: int) -> Decimal:
    """The value of a series that differs least from ``value``; of two alike the lower.

    Raises ValueError for a series that is none, or a value that is not above 0.
    """
    figure, power = parted(value)
    found = series(number)
    among = (*found, found[0] * 10)
    best = min(among, key=lambda one: (abs(one - figure), one))
    return best.scaleb(power)


def coarsest(value: Decimal) -> int | None:
    """The number of the coarsest series that a value is of; None where it is of none. Raises ValueError."""
    figure, _ = parted(value)
    return next((number for number in SERIES if figure in series(number)), None)
