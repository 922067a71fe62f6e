"""What the heaters of a plain parallel set draw, against what their winding is rated for.

Currents of heaters in parallel add (Ohm's law). A winding loaded beyond its rating runs hot and sags, and everything
on it is under-run; how far beyond a maker allows is in no text that was read, so nothing above the rating is called
right. A series string is another matter: see the filament page.
"""

from collections.abc import Sequence
from dataclasses import dataclass

WITHIN, OVER, MORE, NOT_KNOWN, NO_LOAD = "within", "over", "more than laid out", "not known", "no load"
SOURCE = "currents in parallel add (Ohm's law)"


@dataclass(frozen=True)
class Drawn:
    """One heater: the type that will be in the position and its amperes, and those of the type that it was made for.

    None: not known. ``taken``: nothing says that it is on this winding but its voltage. ``stood_in``: what a stand-in
    there draws, in words.
    """

    mark: str
    type: str
    amperes: float | None
    laid_out: float | None
    taken: bool = False
    stood_in: str = ""


@dataclass(frozen=True)
class Load:
    """The load of a winding. ``at_least``: of the heaters whose current is known; ``unknown``: marks of the others."""

    volts: float
    heaters: tuple[Drawn, ...]
    winding_a: float | None
    other: tuple[str, ...] = ()

    @property
    def unknown(self) -> tuple[str, ...]:
        return tuple(one.mark for one in self.heaters if one.amperes is None)

    @property
    def at_least(self) -> float:
        return sum(one.amperes or 0.0 for one in self.heaters)

    @property
    def laid_out(self) -> float | None:
        """What it was made for; None where a figure is missing."""
        told = [one.laid_out for one in self.heaters]
        return None if None in told else sum(value or 0.0 for value in told)

    @property
    def watts(self) -> float:
        return self.volts * self.at_least

    @property
    def standing(self) -> str:
        if not self.heaters:
            return NO_LOAD
        if self.winding_a is not None and self.at_least > self.winding_a + 1e-9:
            return OVER  # the heaters that are not known make it no better
        if self.unknown:
            return NOT_KNOWN
        if self.winding_a is not None:
            return WITHIN
        more = self.laid_out is not None and self.at_least > self.laid_out + 1e-9
        return MORE if more else NOT_KNOWN

    @property
    def text(self) -> str:
        """The answer in sentences."""
        if not self.heaters:
            return f"No heater is recorded on {self.volts:g} V."
        many = len(self.heaters)
        least = "at least " if self.unknown else ""
        told = [
            f"{many} heater{'s' * (many != 1)} on {self.volts:g} V draw{'s' * (many == 1)} "
            f"{least}{self.at_least:.4g} A ({self.watts:.4g} W)"
        ]
        if self.winding_a is not None:
            share = f"{100 * self.at_least / self.winding_a:.0f} % of the {self.winding_a:g} A"
            beyond = ", beyond it" if self.standing == OVER else ""
            told.append(f"that is {least}{share} that the winding is rated for{beyond}")
        else:
            told.append("what the winding is rated for is not recorded with the set model")
        text = f"{told[0]}; {told[1]}."
        if self.laid_out is not None and abs(self.at_least - self.laid_out) > 1e-9:
            change = self.at_least - self.laid_out
            text += (
                f" That is {abs(change):.3g} A {'more' if change > 0 else 'less'} than with the types it was made for."
            )
        if self.unknown:
            text += f" What {', '.join(self.unknown)} draw{'s' * (len(self.unknown) == 1)} is not known."
        told = [f"{one.mark} holds {one.stood_in}" for one in self.heaters if one.stood_in]
        return " ".join((text, *(f"{words}." for words in told)))


def load_of(volts: float, heaters: Sequence[Drawn], winding_a: float | None = None, other: Sequence[str] = ()) -> Load:
    """The load of a winding of ``volts``; ``other``: what was left out, in words. Raises ValueError."""
    if not volts > 0 or (winding_a is not None and not winding_a > 0):
        raise ValueError(f"{volts:g} V, winding {winding_a}: expected more than 0")
    if wrong := [one.mark for one in heaters if one.amperes is not None and one.amperes < 0]:
        raise ValueError(f"{', '.join(wrong)}: a current below 0")
    return Load(volts, tuple(heaters), winding_a, tuple(other))
