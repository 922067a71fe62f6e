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
_NO_GAIN = str.maketrans("", "", "DIOR")  # diodes, indicators and rectifiers are tested for no gain


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

    @property
    def text(self) -> str:
        volts = (("Va", self.plate_v), ("Vg", self.grid_v), ("Vs", self.screen_v))
        at = ", ".join(f"{name} {value:g} V" for name, value in volts if value is not None)
        return (
            f"Indication: {self.percent:.0f} % of {self.figure:g}, handbook test point of {self.row}"
            f"{f' at {at}' if at else ''}; the instrument may test at other voltages."
        )

    def as_dict(self) -> dict[str, Any]:
        return {
            "figure": self.figure, "percent": self.percent, "plate_v": self.plate_v, "grid_v": self.grid_v,
            "screen_v": self.screen_v, "row": self.row, "system": self.system, "source": self.source,
            "grade": "indication",
        }  # fmt: skip


def test_point(rows: Sequence[BookRow], scale: str, section: str, reading: float) -> TestPoint | None:
    """The reading beside the row of its section, 1 or 2; of no section, where all rows have one figure. Else None.

    Systems that are alike (two triodes) may stand in one row, which then serves both; a row of unlike ones is of the
    system that it names. A row with a remark is not used, nor another one in its place.
    """
    if scale not in _ON_SCALE:
        return None
    name, by = _ON_SCALE[scale]
    if section:
        found = [row for row in rows if section.isdecimal() and row.system == int(section)]
        found = found or [row for row in rows if len(rows) == 1 and _alike(row)]
    else:
        found = [row for row in rows if len(rows) > 1 or len(_systems(row)) < 2 or _alike(row)]
    if any(not row.usable for row in found):
        return None
    figures = {getattr(row, name) for row in found}
    if len(figures) != 1 or not (figure := figures.pop()):
        return None
    row, at = found[0], figure / by
    return TestPoint(
        at, 100 * reading / at, row.plate_v, row.grid_v, row.screen_v, row.type, row.system, row.source
    )  # fmt: skip


def _systems(row: BookRow) -> str:
    """The systems of a tube that are tested for gain, a letter each: TP of a triode-pentode, T of a DDT."""
    return row.electrodes.translate(_NO_GAIN)


def _alike(row: BookRow) -> bool:
    return len(_systems(row)) > 1 and len(set(_systems(row))) == 1


test_point.__test__ = False  # type: ignore[attr-defined]
