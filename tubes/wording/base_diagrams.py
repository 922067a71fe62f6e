"""A base seen from below as a drawing: where its pins, numbers and letters go, and the same in words."""

from dataclasses import dataclass
from math import cos, radians, sin

from tubes.rules.base_diagram import Diagram, Terminal
from tubes.rules.bases import DOT, GAP, Spot

WIDTH, HEIGHT = 270, 232
MIDDLE = (135.0, 116.0)
RING, RIM, LETTERS = 54.0, 74.0, 84.0
IN_THE_MIDDLE = 0.9  # of the ring: letters of a pin further in stand beside it
OPEN = 16.0  # degrees of the rim left open on either side of a gap


@dataclass(frozen=True, slots=True)
class Pin:
    """One pin in the drawing: its circle, its number, its letters; ``differs``: from the type it is held against."""

    number: str
    x: float
    y: float
    r: float
    label: str
    label_x: float
    label_y: float
    anchor: str
    differs: bool


@dataclass(frozen=True, slots=True)
class Drawing:
    """All of it, in a box of ``WIDTH`` by ``HEIGHT``. ``caps``: (x, letters, differs) of terminals on the glass."""

    diagram: Diagram
    name: str
    pins: tuple[Pin, ...]
    caps: tuple[tuple[float, str, str, bool], ...]
    rim: str
    words: str
    width: int = WIDTH
    height: int = HEIGHT


def drawing_of(diagram: Diagram, name: str) -> Drawing:
    """The drawing of a base for a type of that name."""
    base = diagram.base
    pins = tuple(_pin(one, base.spots[int(one.name)], base.pins, int(one.name) in base.large) for one in diagram.pins)
    if base.mark == DOT:
        pins = tuple(_in_row(one, pin) for one, pin in zip(diagram.pins, pins, strict=True))
    ends = ((22.0, "start"), (WIDTH - 22.0, "end"))
    caps = tuple((x, anchor, one.short, one.differs) for (x, anchor), one in zip(ends, diagram.caps, strict=False))
    return Drawing(diagram, name, pins, caps, _rim(base.mark == GAP), diagram.described(name))


def _at(spot: Spot, distance: float) -> tuple[float, float]:
    """Degrees clockwise from the bottom, as seen from below, to a point of the drawing."""
    angle = radians(spot.angle)
    return round(MIDDLE[0] - distance * sin(angle), 1), round(MIDDLE[1] + distance * cos(angle), 1)


def _pin(one: Terminal, spot: Spot, count: int, large: bool) -> Pin:
    x, y = _at(spot, RING * spot.out)
    r = 15.0 if large else 11.0 if count <= 9 else 9.0
    if spot.out < IN_THE_MIDDLE:
        return Pin(one.name, x, y, r, one.short, x + r + 4, y + 5, "start", one.differs)
    label_x, label_y = _at(spot, LETTERS)
    lean = label_x - MIDDLE[0]
    anchor = "middle" if abs(lean) < 12 else "start" if lean > 0 else "end"
    return Pin(one.name, x, y, r, one.short, label_x, round(label_y + 5.5, 1), anchor, one.differs)


def _in_row(one: Terminal, pin: Pin) -> Pin:
    """Leads in a row have their letters above them."""
    return Pin(one.name, pin.x, pin.y, 11.0, one.short, pin.x, pin.y - 18, "middle", one.differs)


def _rim(gap: bool) -> str:
    """The outline of the base as a path; open at the bottom where a gap is what the pins are counted from."""
    if not gap:
        x, top, bottom, half = MIDDLE[0], MIDDLE[1] - RIM, MIDDLE[1] + RIM, f"A{RIM:g} {RIM:g} 0 0 1"
        return f"M{x:g} {top:g}{half} {x:g} {bottom:g}{half} {x:g} {top:g}Z"
    (x1, y1), (x2, y2) = _at(Spot(OPEN), RIM), _at(Spot(360 - OPEN), RIM)
    return f"M{x1:g} {y1:g}A{RIM:g} {RIM:g} 0 1 1 {x2:g} {y2:g}"
