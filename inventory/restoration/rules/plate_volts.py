"""How the plate supply changes with another rectifier: the difference of the two drops at the load current.

A high-vacuum rectifier follows the three-halves law (Child, Langmuir): its drop at another current is that of its sheet
by the current to the power 2/3. Mercury and gas hold their drop whatever the current (common practice, no source).
Sheets give the drop of one plate at its full current; with a choke in front of the first capacitor the plate that
conducts carries the load current. Into a capacitor it conducts in pulses of several times that, so the drop of a
vacuum tube is greater and the change with it: then the figure is the least, and the supply is to be measured.
"""

import math
from dataclasses import dataclass

LAW = 2 / 3
SOURCE = "three-halves law of space charge (Child, Langmuir) from the drop of the sheet"


@dataclass(frozen=True)
class Drop:
    """The drop of a rectifier at ``at_ma`` of one plate; None: it holds at any current (mercury, gas)."""

    type: str
    volts: float
    at_ma: float | None
    source: str = ""

    def at(self, ma: float) -> float:
        """Its drop at another current, volts."""
        if self.at_ma is None:
            return self.volts
        return self.volts * math.pow(ma / self.at_ma, LAW)

    @property
    def gas(self) -> bool:
        return self.at_ma is None


@dataclass(frozen=True)
class RailChange:
    """What becomes of the plate supply. ``volts``: more than before, or less; None: not known, ``text`` says why."""

    mark: str
    volts: float | None
    text: str
    sources: tuple[str, ...] = ()


def rail_change(
    mark: str, wanted: str, other: str, load_ma: float | None, drops: dict[str, Drop], plate_v: float | None = None
) -> RailChange:
    """The change where ``other`` stands in for ``wanted`` at a load. ``plate_v``: the supply as it was, for a share."""
    measure = "Measure the plate supply under load."
    lacking = [name for name in (wanted, other) if name not in drops]
    if lacking:
        text = f"{mark}: {other} for {wanted}: the drop of {' and '.join(lacking)} is not known."
        return RailChange(mark, None, f"{text} {measure}")
    before, then = drops[wanted], drops[other]
    if load_ma is None and not (before.gas and then.gas):
        text = f"{mark}: {other} for {wanted}: the dc output of {mark} is not recorded, so the change is not known."
        return RailChange(mark, None, f"{text} {measure}")
    ma = load_ma or 0.0
    change = before.at(ma) - then.at(ma)
    way = "more" if change > 0 else "less"
    share = f" ({abs(change) / plate_v:.1%} of {plate_v:g} V)" if plate_v else ""
    load = f" at {ma:g} mA" if load_ma is not None else ""
    text = (
        f"{mark}: {other} for {wanted}: about {abs(change):.0f} V {way} of plate supply{load}{share}; "
        f"{wanted} drops {before.at(ma):.0f} V, {other} {then.at(ma):.0f} V. "
        f"With a capacitor before any choke the change is greater. {measure}"
    )
    return RailChange(mark, change, text, tuple(dict.fromkeys(one.source for one in (before, then) if one.source)))
