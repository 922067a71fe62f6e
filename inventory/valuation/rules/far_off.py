"""Prices that lie far off the others of the same thing: to be looked at, never left out for that alone.

Twenty times the middle one is more than condition, venue or years make of a price (a dud apart): our own rule, no
source.
"""

from bisect import bisect_left
from collections.abc import Sequence

FAR, FEWEST = 20, 4


def times_of_others(prices: Sequence[float]) -> list[float | None]:
    """Of each price how many times the middle of the others it is; None where that is not far off, or too few tell."""
    if len(prices) < FEWEST:
        return [None] * len(prices)
    ordered = sorted(prices)
    return [_far(price, ordered, bisect_left(ordered, price)) for price in prices]


def _far(price: float, ordered: Sequence[float], place: int) -> float | None:
    many = len(ordered) - 1

    def other(at: int) -> float:
        return ordered[at if at < place else at + 1]

    middle = (other((many - 1) // 2) + other(many // 2)) / 2
    if middle <= 0 or price <= 0 or 1 / FAR < price / middle < FAR:
        return None
    return price / middle


def told(times: float, others: int, of: str) -> str:
    """What is told of a price that is far off."""
    rate = f"{times:,.0f} times" if times > 1 else f"1/{1 / times:,.0f} of"
    return f"far off: {rate} the middle of the {others} others of {of}; look at the amount"
