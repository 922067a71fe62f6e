"""What stands where on one label. Nothing overlaps: long text is shortened, rows without room are left out.

Lengths in millimetres from the lower left corner of the label; type sizes in points (72 to the inch).
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

Measure = Callable[[str, float, bool], float]  # text, size in points, bold -> width in millimetres

MM = 25.4 / 72  # one point
LINE = 1.2  # line height, in sizes of type
ASCENT = 0.95  # from the top of a line to its baseline, in sizes of type
SMALLEST, LARGEST = 5.5, 12.0  # points; below 5.5 nobody reads it at arm's length
LEGIBLE = 6.5  # rather than go below this, hazard words are cut, which then point to the page of the thing
WRITING = 4.6  # height of a line to write on by hand
BLANK = 5.0  # the least length of a blank beside its word; with less, the instrument gets a line of its own
GAP = 0.6
ELLIPSIS = "…"
WARNING = "⚠ "
CUT_SHORT = f"{ELLIPSIS} see its page"


@dataclass(frozen=True)
class LabelWords:
    """What a label says; an empty text takes no room. ``same``: equivalents in the order of their use."""

    tag: str
    name: str = ""
    same: tuple[str, ...] = ()
    mark: str = ""
    state: str = ""
    place: str = ""
    hazards: tuple[str, ...] = ()
    readings: bool = False
    address: str = ""


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


@dataclass(frozen=True)
class Layout:
    """A label ready to draw; ``code`` is (x, y, side) of the QR code with its quiet zone."""

    words: tuple[Words, ...]
    blanks: tuple[Blank, ...]
    code: tuple[float, float, float]
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Plan:
    """What to try to get onto the label; ``floor``: the smallest type to try it with."""

    mark: bool = True
    place: bool = True
    readings: int = 2
    same_lines: int = 1
    hazard_lines: int = 12
    whole: bool = True
    floor: float = LEGIBLE


# From everything to the least: tag, name, and one line of hazard words always stand.
_PLANS = (
    *(_Plan(readings=lines) for lines in (2, 1, 0)),
    *(_Plan(readings=1, whole=False, hazard_lines=lines) for lines in (4, 3, 2)),
    *(_Plan(readings=0, whole=False, hazard_lines=lines) for lines in (6, 5, 4, 3, 2)),
    *(_Plan(readings=0, whole=False, hazard_lines=lines, floor=SMALLEST) for lines in (2, 1)),
    *(_Plan(readings=0, whole=False, hazard_lines=lines, place=False, floor=SMALLEST) for lines in (2, 1)),
    _Plan(readings=0, whole=False, hazard_lines=1, place=False, mark=False, floor=SMALLEST),
)


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


def lay_out(words: LabelWords, w: float, h: float, inset: float, measure: Measure) -> Layout:
    """Set a label of ``w`` by ``h``: the largest type with which everything fits; then rows are left out."""
    largest = min(LARGEST, max(SMALLEST, 0.28 * (h - 2 * inset)))
    sizes = [largest]
    while sizes[-1] - 0.5 >= SMALLEST:
        sizes.append(sizes[-1] - 0.5)
    for plan in _PLANS:
        for size in sizes:
            if size < min(plan.floor, largest):
                continue
            flow = _set(words, plan, size, _Flow(w, h, inset, measure))
            if flow.fits:
                return _with_more_equivalents(words, plan, size, flow)
    return _finish(words, _PLANS[-1], flow)


def _with_more_equivalents(words: LabelWords, plan: _Plan, size: float, flow: "_Flow") -> Layout:
    for lines in (2, 3, 4):
        more = _set(words, replace(plan, same_lines=lines), size, flow.again())
        if not more.fits:
            break
        flow = more
    return _finish(words, plan, flow)


def _finish(words: LabelWords, plan: _Plan, flow: "_Flow") -> Layout:
    left_out = [name for name, kept in (("mark", plan.mark), ("place", plan.place)) if not kept]
    if words.readings and not plan.readings:
        left_out.append("readings")
    side = flow.side
    code = (flow.w - flow.inset - side, flow.h - flow.inset - side, side)
    return Layout(tuple(flow.words), tuple(flow.blanks), code, tuple(left_out))


@dataclass
class _Flow:
    """Lines set one below the other, beside the code and, further down, below it."""

    w: float
    h: float
    inset: float
    measure: Measure
    fits: bool = True
    words: list[Words] = field(default_factory=list)
    blanks: list[Blank] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.y = self.h - self.inset  # top of the next line
        self.x = self.inset + GAP
        self.side = code_side(self.w, self.h, self.inset)

    def again(self) -> "_Flow":
        return _Flow(self.w, self.h, self.inset, self.measure)

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


def _set(words: LabelWords, plan: _Plan, size: float, flow: _Flow) -> _Flow:
    state = _set_head(words, size, flow)
    _set_name(words, plan, size, flow)
    _set_hazards(words.hazards, plan, size, flow)
    mark = " · ".join(part for part in (state, words.mark) if part)
    if mark and plan.mark:
        flow.line([(shorten(mark, flow.width, size, False, flow.measure), False)], size)
    if words.place and plan.place:
        flow.line([(shorten(words.place, flow.width, size, False, flow.measure, front=True), False)], size)
    if words.readings and plan.readings:
        _set_readings(plan.readings, max(SMALLEST, size * 0.85), flow)
    return flow


def _set_readings(lines: int, size: float, flow: _Flow) -> None:
    """Set the lines to write on at the foot of the label: reading, its minimum, and the instrument."""
    share = flow.width_at(min(flow.y, flow.inset + WRITING)) / 3
    if all(flow.measure(name + " ", size, False) + BLANK <= share for name in ("reads", "min", "on")):
        flow.y = min(flow.y, flow.inset + WRITING)
        flow.write_on(("reads", "min", "on"), size)
        return
    flow.y = min(flow.y, flow.inset + lines * WRITING)
    flow.write_on(("reads", "min"), size)
    if lines > 1:
        flow.write_on(("on",), size)


def _set_head(words: LabelWords, size: float, flow: _Flow) -> str:
    """Set the tag, as large as it can be, with the state behind it; gives back a state that found no room."""
    room, measure = flow.width, flow.measure
    state = f"  {words.state}" if words.state else ""
    behind = measure(state, size, False)
    for width, tail in ((room - behind, state), (room, "")):
        big = 1.4 * size
        while big > size and measure(words.tag, big, True) > width:
            big = max(size, big - 0.25)
        if measure(words.tag, big, True) <= width or not tail:
            break
    flow.line([(shorten(words.tag, room, big, True, measure), True)], big, tail, size)
    return words.state if state and not tail else ""


def _set_name(words: LabelWords, plan: _Plan, size: float, flow: _Flow) -> None:
    """Set the name and as many equivalents as there is room for on ``plan.same_lines`` lines."""
    measure = flow.measure
    name = shorten(words.name, flow.width, size, True, measure)
    left = list(words.same)
    if not name and not left:
        return
    for number in range(plan.same_lines):
        head = name if number == 0 else ""
        room = flow.width - measure(head, size, True)
        lead = (" = " if head else "= ") if number == 0 else ""
        text, left = _fill(lead, left, room, size, measure, last=number == plan.same_lines - 1)
        if not head and not text:
            return
        flow.line([(head, True), (text, False)], size)
        if not left:
            return


def _fill(
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


def _set_hazards(hazards: Sequence[str], plan: _Plan, size: float, flow: _Flow) -> None:
    """Set the hazard words, bold, over several lines; what must be cut ends where a clause ends, if it can."""
    if not hazards:
        return
    text = WARNING + "; ".join(hazards)
    for cut in (text,) if plan.whole else _cuts(text):
        lines = _wrapped(cut, size, flow)
        if lines and len(lines) <= plan.hazard_lines:
            for line in lines:
                flow.line([(line, True)], size)
            return
    if plan.whole:
        flow.fits = False
    else:
        flow.line([(shorten(text, flow.width, size, True, flow.measure), True)], size)


def _cuts(text: str) -> Iterator[str]:
    """Ever shorter hazard texts: whole, by clauses, by words; with the pointer to the page where it fits."""
    yield text
    clauses = re.split(r"(?<=[.;:,])\s", text)
    heads = [" ".join(clauses[:count]).rstrip(" .;:,") for count in range(len(clauses) - 1, 0, -1)]
    yield from (head + tail for head in heads for tail in (CUT_SHORT, ELLIPSIS))
    words = text.split(" ")
    yield from (" ".join(words[:count]).rstrip(" .;,") + ELLIPSIS for count in range(len(words) - 1, 1, -1))


def _wrapped(text: str, size: float, flow: _Flow) -> list[str]:
    """The lines of a text from where the flow stands; none when a word is wider than its line."""
    lines: list[str] = []
    y = flow.y
    for word in text.split(" "):
        if lines and flow.measure(f"{lines[-1]} {word}", size, True) <= flow.width_at(y):
            lines[-1] += f" {word}"
            continue
        y -= LINE * size * MM if lines else 0
        if flow.measure(word, size, True) > flow.width_at(y):
            return []
        lines.append(word)
    return lines
