"""Lines of text that were read from a photograph: which stand together on one thing, and in which order.

A line has four corners in pixels of the picture, x to the right and y down, in the order top left, top right, bottom
right, bottom left of the box as it lies there. A picture taken across has lines that run down; all of it is then looked
at with x and y exchanged.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

Corner = tuple[float, float]
Box = tuple[int, int, int, int]  # left, top, right, bottom

NEAR_DOWN = 1.1  # of the taller line's height: more bare ground than that between two lines, and they are two stamps
NEAR_ACROSS = 1.6
ALIKE = 3.5  # one line may be so many times as tall as the other on one thing


@dataclass(frozen=True, slots=True)
class Line:
    """A text, how sure the reader of pictures is of it (0 to 1), and where it stands."""

    text: str
    score: float
    corners: tuple[Corner, Corner, Corner, Corner]

    @property
    def box(self) -> Box:
        return box_of([self])

    @property
    def height(self) -> float:
        """Of the letters, about: the shorter side of the box."""
        return min(self._sides)

    def part(self, start: float, end: float, text: str) -> "Line":
        """A piece of the line, from and to a share of its length (0 to 1)."""
        one, two, three, four = self.corners
        across, down = self._sides
        if across >= down:
            corners = _at(one, two, start), _at(one, two, end), _at(four, three, end), _at(four, three, start)
        else:
            corners = _at(one, four, start), _at(two, three, start), _at(two, three, end), _at(one, four, end)
        return Line(text, self.score, corners)

    @property
    def _sides(self) -> tuple[float, float]:
        one, two, three, _ = self.corners
        return math.dist(one, two), math.dist(two, three)

    @property
    def runs(self) -> tuple[float, float]:
        """(x, y) of the longer side: the way the letters run, with its length."""
        one, two, three, _ = self.corners
        across, down = self._sides
        end, start = (two, one) if across >= down else (three, two)
        return end[0] - start[0], end[1] - start[1]


@dataclass(frozen=True, slots=True)
class _Laid:
    """A line with its middle and size where text runs from left to right."""

    line: Line
    x: float
    y: float
    width: float
    height: float


def _at(one: Corner, two: Corner, share: float) -> Corner:
    return one[0] + (two[0] - one[0]) * share, one[1] + (two[1] - one[1]) * share


def box_of(lines: Sequence[Line]) -> Box:
    """The upright box around lines, in whole pixels."""
    xs = [x for line in lines for x, _ in line.corners]
    ys = [y for line in lines for _, y in line.corners]
    return math.floor(min(xs)), math.floor(min(ys)), math.ceil(max(xs)), math.ceil(max(ys))


def together(lines: Sequence[Line]) -> list[list[Line]]:
    """The lines in groups of what stands together, in reading order; the groups from left to right, top to bottom."""
    laid = _laid([line for line in lines if line.text.strip()])
    groups: list[list[_Laid]] = []
    for one in laid:
        near = [group for group in groups if any(_near(one, other) for other in group)]
        groups = [group for group in groups if group not in near]
        groups.append([one, *(other for group in near for other in group)])
    ordered = sorted(groups, key=lambda group: (round(min(one.x for one in group) / 40), min(one.y for one in group)))
    return [[one.line for one in _in_rows(group)] for group in ordered]


def _laid(lines: Sequence[Line]) -> list[_Laid]:
    """Every line turned by the angle at which the text of the picture runs, weighed by its length."""
    if not lines:
        return []
    angle = _angle(lines)
    cos, sin = math.cos(-angle), math.sin(-angle)
    laid = []
    for line in lines:
        turned = [(x * cos - y * sin, x * sin + y * cos) for x, y in line.corners]
        xs, ys = [x for x, _ in turned], [y for _, y in turned]
        middle_x, middle_y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
        laid.append(_Laid(line, middle_x, middle_y, max(xs) - min(xs), max(ys) - min(ys)))
    return laid


def _angle(lines: Sequence[Line]) -> float:
    """The angle of the text in radians, more than -45 and at most 135 degrees: the two ends of a line look alike."""
    run_x = run_y = 0.0
    for line in lines:  # doubled, so that an end and its opposite count as one
        x, y = line.runs
        double, length = 2 * math.atan2(y, x), math.hypot(x, y)
        weight = length * max(length / max(line.height, 1.0) - 1, 0.05)  # a nearly square box tells no way
        run_x += weight * math.cos(double)
        run_y += weight * math.sin(double)
    angle = math.atan2(run_y, run_x) / 2
    return angle if angle > -math.pi / 4 else angle + math.pi


def _near(one: _Laid, other: _Laid) -> bool:
    low, high = sorted((one.height, other.height))
    if high > ALIKE * max(low, 1.0):
        return False
    across = abs(one.x - other.x) - (one.width + other.width) / 2  # bare ground between them; below 0 they overlap
    down = abs(one.y - other.y) - (one.height + other.height) / 2
    in_row = down < -0.5 * low and across < NEAR_ACROSS * low
    stacked = down < NEAR_DOWN * high and across < 0
    return in_row or stacked


def _in_rows(group: Sequence[_Laid]) -> list[_Laid]:
    """From top to bottom, and what stands beside each other from left to right."""
    rows: list[list[_Laid]] = []
    for one in sorted(group, key=lambda laid: laid.y):
        if rows and abs(one.y - rows[-1][0].y) < 0.5 * min(one.height, rows[-1][0].height):
            rows[-1].append(one)
        else:
            rows.append([one])
    return [one for row in rows for one in sorted(row, key=lambda laid: laid.x)]
