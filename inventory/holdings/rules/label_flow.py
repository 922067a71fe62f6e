"""Lines of one label, set one below the other beside the code and below it; long text is shortened or wrapped.

Lengths in millimetres from the lower left corner of the label; type sizes in points (72 to the inch).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

Measure = Callable[[str, float, bool], float]  # text, size in points, bold -> width in millimetres

MM = 25.4 / 72  # one point
LINE = 1.17  # line height, in sizes of type
ASCENT = 0.93  # from the top of a line to its baseline, in sizes of type
WRITING = 4.6  # height of a line to write on by hand
GAP = 0.6
ELLIPSIS = "…"


@dataclass(frozen=True)
class Words:
    """A piece of text; ``y`` is its baseline."""

    x: float
    y: float
    size: float
    bold: bool
    text: str


@dataclass(frozen=True)
class Blank:
    """A line to write on."""

    x: float
    y: float
    w: float


def shorten(text: str, width: float, size: float, bold: bool, measure: Measure, *, front: bool = False) -> str:
    """``text``, or as much as fits into ``width`` with an ellipsis; ``front`` keeps the end (the box of a place)."""
    if measure(text, size, bold) <= width:
        return text
    for part in _shorter(text, front):
        cut = ELLIPSIS + part if front else part + ELLIPSIS
        if measure(cut, size, bold) <= width:
            return cut
    return ""


def _shorter(text: str, front: bool) -> Iterator[str]:
    """Ever shorter parts of a text: its beginning by letters; its end by the steps of a path, by words, by letters."""
    if not front:
        yield from (text[:length].rstrip() for length in range(len(text) - 1, -1, -1))
        return
    steps = text.split(" / ")
    yield from (" / " + " / ".join(steps[number:]) for number in range(1, len(steps)))
    words = steps[-1].split(" ")
    yield from (" ".join(words[number:]) for number in range(1, len(words)))
    yield from (words[-1][number:] for number in range(1, len(words[-1]) + 1))


def code_side(w: float, h: float, inset: float) -> float:
    """The side of the QR code: most of the height of a low label, at most 38 % of the width and 26 mm."""
    return min(h - 2 * inset, 0.38 * w, 26.0)


@dataclass
class Flow:
    """Lines set one below the other, beside the code and, further down, below it."""

    w: float
    h: float
    inset: float
    measure: Measure
    coded: bool = True  # False: without the code, for more hazards than there is room for beside it
    fits: bool = True
    words: list[Words] = field(default_factory=list)
    blanks: list[Blank] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.y = self.h - self.inset  # top of the next line
        self.x = self.inset + GAP
        self.side = code_side(self.w, self.h, self.inset) if self.coded else 0.0

    def again(self) -> "Flow":
        return Flow(self.w, self.h, self.inset, self.measure, self.coded)

    @property
    def width(self) -> float:
        """Room of the next line: the whole label once it begins below the code."""
        return self.width_at(self.y)

    def width_at(self, y: float) -> float:
        """Room of a line whose top is at ``y``."""
        below = y <= self.h - self.inset - self.side + 1e-9
        return self.w - 2 * (self.inset + GAP) - (0 if below else self.side)

    def line(self, parts: Sequence[tuple[str, bool]], size: float, tail: str = "", tail_size: float = 0) -> None:
        """Set one line of parts side by side, with a smaller tail; a line that would leave the label is not set."""
        height = LINE * size * MM
        if self.y - height < self.inset - 1e-9:
            self.fits = False
            return
        x, baseline = self.x, self.y - ASCENT * size * MM
        for text, bold in parts:
            if text:
                self.words.append(Words(x, baseline, size, bold, text))
                x += self.measure(text, size, bold)
        if tail:
            self.words.append(Words(x, baseline, tail_size, False, tail))
        self.y -= height

    def write_on(self, names: Sequence[str], size: float) -> None:
        """Set a line with a blank after each of ``names``."""
        if self.y - WRITING < self.inset - 1e-9:
            self.fits = False
            return
        width = self.width
        self.y -= WRITING
        share = width / len(names)
        for number, name in enumerate(names):
            x = self.x + number * share
            room = self.measure(name + " ", size, False)
            if room > share - 4:  # nothing to write on is worse than no word in front of it
                name, room = shorten(name, share - 4, size, False, self.measure), share - 4
            end = self.x + (width if number == len(names) - 1 else (number + 1) * share - 1)
            if name:
                self.words.append(Words(x, self.y + 0.9, size, False, name))
            self.blanks.append(Blank(x + room, self.y + 0.7, end - x - room))


def fill(
    lead: str, left: list[str], room: float, size: float, measure: Measure, *, last: bool
) -> tuple[str, list[str]]:
    """As many of ``left`` as fit behind ``lead``, and the rest; the last line shows that there is more."""
    text, taken = lead, 0
    for taken in range(len(left), 0, -1):
        rest = len(left) > taken
        tail = f", {ELLIPSIS}" if rest and last else ("," if rest else "")
        text = lead + ", ".join(left[:taken]) + tail
        if measure(text, size, False) <= room:
            return text, left[taken:]
    return "", left


def wrapped(text: str, size: float, flow: Flow, *, bold: bool = True, whole: bool = False) -> list[str]:
    """The lines of a text from where the flow stands.

    A word wider than its line: none, or with ``whole`` the word goes on in the next line, nothing of it lost.
    """
    lines: list[str] = []
    y = flow.y
    for word in text.split(" "):
        if lines and flow.measure(f"{lines[-1]} {word}", size, bold) <= flow.width_at(y):
            lines[-1] += f" {word}"
            continue
        y -= LINE * size * MM if lines else 0
        while flow.measure(word, size, bold) > flow.width_at(y):
            if not whole or len(word) < 2:
                return []
            part = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or _fits(word[:n], size, flow, y, bold))
            lines.append(word[:part])
            word = word[part:]
            y -= LINE * size * MM
        lines.append(word)
    return lines


def _fits(text: str, size: float, flow: Flow, y: float, bold: bool) -> bool:
    return flow.measure(text, size, bold) <= flow.width_at(y)
