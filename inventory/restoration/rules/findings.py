"""What was found at a check, several times: which counts, and whether the check still stands open."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import Any, Protocol

from tubes.rules.units import UnitFault, parse_quantity, with_point

OF_PART, OF_LINE = "part no.", "line no."
_BARE = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)")


def check_of_part(key: int) -> str:
    """The key of the check that looks at a weak part: by its number, so that its words can be corrected."""
    return f"{OF_PART} {key}"


def check_of_line(key: int) -> str:
    """The key of the check that looks at a line of the keeper's own, in the same way."""
    return f"{OF_LINE} {key}"


class Found(Protocol):
    """What the fold asks of a finding."""

    @property
    def on(self) -> date: ...
    @property
    def at(self) -> time | None: ...
    @property
    def pk(self) -> int: ...
    @property
    def all_well(self) -> bool | None: ...
    @property
    def judged(self) -> bool | None: ...
    @property
    def outside(self) -> str: ...


def in_order(findings: Sequence[Any]) -> list[Any]:
    """Findings at one check, the earliest first: by day; of one day by their times, as entered where one has none."""
    timed = {day: all(one.at for one in findings if one.on == day) for day in {one.on for one in findings}}
    return sorted(findings, key=lambda one: (one.on, one.at if timed[one.on] else time.min, one.pk))


@dataclass(frozen=True, slots=True)
class Standing:
    """How a check stands. ``latest``: what was found last; ``settled``: True, False, or None where nobody judged it.

    ``decides``: the finding by which that is so; the latest where nobody judged any.
    """

    latest: Any
    earlier: tuple[Any, ...]
    settled: bool | None
    decides: Any

    @property
    def unjudged(self) -> bool:
        """Whether nobody said of what was found last whether it is as it should be."""
        return self.latest.judged is None


def standing_of(findings: Sequence[Any]) -> Standing | None:
    """How a check stands by what was found at it (struck ones left out by the caller); None: nothing was found.

    The last one that says whether all is well counts: a later reading without a word for it settles nothing, unless
    the limit of the sheet says it. What somebody called wrong though its reading kept the limit, no limit settles.
    """
    rows = in_order(findings)
    if not rows:
        return None
    said = next((one for one in reversed(rows) if one.all_well is not None), None)
    decides = next((one for one in reversed(rows) if one.judged is not None), rows[-1])
    if said is not None and said.all_well is False and not said.outside:
        decides = said
    return Standing(rows[-1], tuple(reversed(rows[:-1])), decides.judged, decides)


def with_unit(text: str, unit: str) -> str:
    """A reading as it is kept: a bare figure is in the unit that its label names, a decimal comma is a point."""
    text = text.strip()
    text = with_point(text) if unit else text
    return f"{text} {unit}" if unit and _BARE.fullmatch(text) else text


def read_finding(text: str, unit: str) -> float | None:
    """The figure of a reading in the unit of its check; None for an empty text or where no number is asked.

    Raises UnitFault; what is no single figure (above 500 Mohm) is told to go into words.
    """
    if not text.strip() or not unit:
        return None
    try:
        return parse_quantity(with_unit(text, unit), unit)
    except UnitFault as fault:
        raise UnitFault(f"{fault}; what is no single figure goes into words.") from fault
