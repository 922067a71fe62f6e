"""A reading beside the test point of a handbook: an indication for where nothing tells what an instrument should read.

A handbook gives plate current and transconductance at stated voltages, for each system of a tube. An instrument that
tests at other voltages reads otherwise: the percentage is shown and decides nothing (common practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from tubes.rules.handbook import BookRow

#: By scale of an instrument: the figure of a row, and by what it is divided to be on that scale.
_ON_SCALE = {"micromho": ("gm_umho", 1), "ma_v": ("gm_umho", 1000), "plate_ma": ("plate_ma", 1)}
SCALES = frozenset(_ON_SCALE)
FAR_POINTS = 10  # times the test point, from there a reading is asked about once; our choice, no source
_ODD_POINTS = 3  # times the test point, beyond which a percentage tells nothing; our choice, no source
_NEAR = (0.2, 2)  # times the test point between which a reading in another unit would be likely; our choice, no source
_OTHER_UNIT = {"ma_v": ("micromho", 1 / 1000), "micromho": ("mA/V", 1000)}  # of a reading on that scale, its factor


@dataclass(frozen=True, slots=True)
class TestPoint:
    """``figure`` on the scale of the instrument, ``percent`` the reading of it; volts as the handbook states them."""

    __test__ = False  # no test case, whatever its name says

    figure: float
    percent: float
    plate_v: float | None
    grid_v: float | None
    screen_v: float | None
    row: str
    system: int
    source: str
    asks_section: bool = False  # the tube has several alike, and none was named

    @property
    def odd(self) -> bool:
        """Far beyond the test point: no percentage tells anything."""
        return self.percent > 100 * _ODD_POINTS

    @property
    def text(self) -> str:
        volts = (("Va", self.plate_v), ("Vg", self.grid_v), ("Vs", self.screen_v))
        at = ", ".join(f"{name} {value:g} V" for name, value in volts if value is not None)
        if self.odd:
            return (
                f"Odd{', confirmed' if self.percent > 100 * FAR_POINTS else ''}: more than {_ODD_POINTS} times "
                f"{self.figure:g}, handbook test point of {self.row}"
                f"{f' at {at}' if at else ''}; no percentage is given."
            )
        return (
            f"Indication: {self.percent:.0f} % of {self.figure:g}, handbook test point of {self.row}"
            f"{f' at {at}' if at else ''}; the instrument may test at other voltages."
            f"{' Which section was it? Test each and write its number.' if self.asks_section else ''}"
        )

    def as_dict(self) -> dict[str, Any]:
        return {
            "figure": self.figure, "percent": None if self.odd else self.percent,
            "plate_v": self.plate_v, "grid_v": self.grid_v, "screen_v": self.screen_v,
            "row": self.row, "system": self.system, "source": self.source,
            "grade": "indication", "text": self.text,
        }  # fmt: skip


def test_point(rows: Sequence[BookRow], scale: str, section: str, reading: float) -> TestPoint | None:
    """The reading beside the row of its section, a number or the name of it; empty: no section told. Else None.

    A row with a remark is not used. Sections that are alike (a duotriode) may share one row; of unlike ones (a
    triode-pentode) each has its own row or none, and without a section all their rows must be there and agree.
    """
    if scale not in _ON_SCALE:
        return None
    name, by = _ON_SCALE[scale]
    found = [row for row in _of_section(rows, section) if row.usable]
    figures = {getattr(row, name) for row in found}
    if len(figures) != 1 or not (figure := figures.pop()):
        return None
    row, at = found[0], figure / by
    return TestPoint(
        at, 100 * reading / at, row.plate_v, row.grid_v, row.screen_v, row.type, row.system, row.source,
        not section and len(row.electrodes.replace("D", "")) > 1,
    )  # fmt: skip


def other_unit(scale: str, times: float) -> str:
    """The unit in which a reading of so many times the test point would lie near it; empty: none."""
    unit, factor = _OTHER_UNIT.get(scale, ("", 0))
    return unit if _NEAR[0] <= factor * times <= _NEAR[1] else ""


def _of_section(rows: Sequence[BookRow], section: str) -> Sequence[BookRow]:
    sections = {row.electrodes.replace("D", "") for row in rows}  # its diodes are no section that has a test point
    letters = sections.pop() if len(sections) == 1 else ""
    own = [row for row in rows if section.isdecimal() and row.system == int(section)]
    if own:
        return own
    if len(set(letters)) == 1:
        return rows if not section.isdecimal() or 0 < int(section) <= len(letters) else ()
    return rows if not section and letters and all(row.usable for row in rows) and len(rows) == len(letters) else ()


test_point.__test__ = False  # type: ignore[attr-defined]
