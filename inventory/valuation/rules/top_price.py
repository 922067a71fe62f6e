"""What one may cost at most: where on the range of what another like it costs, by the gap that it closes.

Whoever does not buy this one can get another: so its price ends where that of another does, delivered (replacement). Of
which others is a matter of the gap: our own rule, no source.
"""

from dataclasses import dataclass
from enum import StrEnum


class End(StrEnum):
    """Which end of the range."""

    HIGH, MIDDLE, LOW = "high end", "middle", "low end"


@dataclass(frozen=True, slots=True)
class Gap:
    """Of one tube, under all its numbers: positions of sets here that call for it, those of them that want one (empty,
    or holding a weak tube, a dud, or one in doubt), and good ones on the shelf.
    """

    positions: int
    wanting: int
    spares: int

    @property
    def left(self) -> int:
        """Spares beyond the positions that want one; below zero they do not go round."""
        return self.spares - self.wanting


def end_of(gap: Gap) -> tuple[End, str]:
    """Which end a top price stands at, and why."""
    spares = f"{gap.spares} good spare{'s' * (gap.spares != 1)}"
    if not gap.positions:
        return End.MIDDLE, "no set here calls for it"
    places = f"{gap.positions} position{'s' * (gap.positions != 1)}"
    if gap.left < 0:
        many = f"{gap.wanting} of {places} want{'s' * (gap.wanting == 1)} one"
        return End.HIGH, f"{many}, and there is {'no good spare' if not gap.spares else f'only {spares}'}"
    if gap.left == 0:
        return End.HIGH, f"no good spare is left for {places} in use"
    if gap.left < gap.positions:
        return End.MIDDLE, f"{spares} for {places}: fewer than one for each"
    return End.LOW, f"{spares} for {places}: one more is beyond what they need"
