"""What stands where on one label. Nothing overlaps: long text is shortened, rows without room are left out.

The short words of its hazards stand first and are never cut: everything else gets smaller or gives way before them.
Lengths in millimetres from the lower left corner of the label; type sizes in points (72 to the inch).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from inventory.holdings.rules.hazard_words import short_words
from inventory.holdings.rules.label_flow import (
    ELLIPSIS,
    WRITING,
    Blank,
    Flow,
    Measure,
    Words,
    fill,
    shorten,
    wrapped,
)

SMALLEST, LARGEST = 5.5, 12.0  # points; below 5.5 nobody reads it at arm's length
EASY = 8.0  # rather than set everything smaller than this, the long words of a hazard get less room
LEGIBLE = 6.5  # rather than go below this, the long words of a hazard are cut: they then point to the thing's page
SMALL_PRINT = 0.8  # the long words of a hazard beside the rest, in sizes of type
LEAST = 4.5  # for more hazards than any thing should have
BLANK = 5.0  # the least length of a blank beside its word; with less, the instrument gets a line of its own
WARNING = "⚠ "
CUT_SHORT = f"{ELLIPSIS} see its page"
WHOLE = 99  # lines
UNBROKEN = "\u00a0"  # a blank at which no line ends


@dataclass(frozen=True)
class LabelWords:
    """What a label says; an empty text takes no room. ``same``: equivalents in the order of their use.

    ``reading`` is the last reading in words; without one there are blanks to write it on where ``readings``.
    """

    tag: str
    name: str = ""
    same: tuple[str, ...] = ()
    mark: str = ""
    state: str = ""
    reading: str = ""
    place: str = ""
    hazards: tuple[str, ...] = ()
    readings: bool = False
    address: str = ""


@dataclass(frozen=True)
class Layout:
    """A label ready to draw; ``code`` is (x, y, side) of the QR code with its quiet zone, side 0 where it gave way."""

    words: tuple[Words, ...]
    blanks: tuple[Blank, ...]
    code: tuple[float, float, float]


@dataclass(frozen=True)
class Plan:
    """What to try to get onto the label; ``floor``: the smallest type to try it with.

    ``detail``: lines of cautions; ``blanks`` and ``reading``: lines for a reading; ``head``: the tag, in sizes of type.
    """

    detail: int = 0
    blanks: int = 0
    mark: bool = True
    place: bool = True
    reading: int = 4
    name: bool = True
    code: bool = True
    head: float = 1.4
    same_lines: int = 1
    place_lines: int = 1
    name_lines: int = 1
    floor: float = LEGIBLE


# From everything to the least: the short words of hazards and the tag always stand.
_PLANS = (
    *(Plan(WHOLE, blanks, floor=EASY) for blanks in (2, 1)),
    *(Plan(lines, 1, floor=EASY) for lines in (4, 3, 2)),
    Plan(WHOLE, floor=EASY),
    *(Plan(lines, floor=EASY) for lines in (6, 5, 4, 3, 2)),
    *(Plan(WHOLE, blanks) for blanks in (2, 1, 0)),
    *(Plan(lines, 1) for lines in (3, 2)),
    *(Plan(lines) for lines in (6, 5, 4, 3, 2, 1, 0)),
    Plan(floor=SMALLEST),
    Plan(place=False),
    *(Plan(place=False, head=head, floor=SMALLEST) for head in (1.4, 1)),
    Plan(place=False, mark=False),
    *(Plan(place=False, mark=False, head=head, floor=SMALLEST) for head in (1.4, 1)),
    *(Plan(place=False, mark=False, reading=lines, head=1, floor=SMALLEST) for lines in (1, 0)),
    Plan(place=False, mark=False, reading=0, name=False, head=1, floor=SMALLEST),
    *(Plan(place=False, mark=False, reading=0, name=False, code=False, head=1, floor=f) for f in (SMALLEST, LEAST)),
)
# What gets the room that is left, in this order; a name or a place that takes more lines stays shortened.
_MORE = (
    *(("name_lines", n) for n in (2, 3)), ("same_lines", 2), *(("place_lines", n) for n in (2, 3)),
    *(("same_lines", n) for n in (3, 4)),
)  # fmt: skip


def lay_out(words: LabelWords, w: float, h: float, inset: float, measure: Measure) -> Layout:
    """Set a label of ``w`` by ``h``: the largest type with which everything fits; then rows are left out."""
    largest = min(LARGEST, max(SMALLEST, 0.28 * (h - 2 * inset)))
    sizes = [largest]
    while sizes[-1] - 0.5 >= LEAST:
        sizes.append(sizes[-1] - 0.5)
    for plan in _PLANS:
        for size in sizes:
            if size < min(plan.floor, largest):
                continue
            flow = _set(words, plan, size, Flow(w, h, inset, measure, plan.code))
            if flow.fits:
                return _with_more(words, plan, size, flow)
    return _finish(flow)


def _with_more(words: LabelWords, plan: Plan, size: float, flow: Flow) -> Layout:
    """Give the room that is left to what was shortened: the name, the place, then more equivalents."""
    for part, lines in _MORE:
        richer = replace(plan, **{part: lines})  # type: ignore[arg-type]
        more = _set(words, richer, size, flow.again())
        if more.fits:
            plan, flow = richer, more
    return _finish(flow)


def _finish(flow: Flow) -> Layout:
    """What is ready to draw."""
    side = flow.side
    code = (flow.w - flow.inset - side, flow.h - flow.inset - side, side)
    return Layout(tuple(flow.words), tuple(flow.blanks), code)


def _set(words: LabelWords, plan: Plan, size: float, flow: Flow) -> Flow:
    short = short_words(words.hazards)
    if short:
        _set_lines(WARNING + ", ".join(short), WHOLE, size, flow, bold=True, whole=True)
    state = _set_head(words, plan, size, flow)
    if plan.name:
        _set_name(words, plan, size, flow)
    if words.reading and plan.reading:
        _set_reading(words.reading, plan.reading, size, flow)
    mark = " · ".join(part for part in (state, words.mark if plan.mark else "") if part)
    if mark:
        flow.line([(shorten(mark, flow.width, size, False, flow.measure), False)], size)
    if words.place and plan.place and not _set_place(words.place, plan.place_lines, size, flow):
        flow.line([(shorten(words.place, flow.width, size, False, flow.measure, front=True), False)], size)
    if detail := "; ".join(text for text in words.hazards if text.strip(" .;:,") not in short and text.strip()):
        _set_detail(detail, plan.detail, max(min(size, LEGIBLE), SMALL_PRINT * size), flow)
    if words.readings and not words.reading and plan.blanks:
        _set_blanks(plan.blanks, max(SMALLEST, size * 0.85), flow)
    return flow


def _set_lines(text: str, most: int, size: float, flow: Flow, *, bold: bool, whole: bool = False) -> bool:
    """Set a text whole on at most so many lines; False where it takes more, and nothing is set then."""
    lines = wrapped(text, size, flow, bold=bold, whole=whole)
    if not lines or len(lines) > most:
        flow.fits = flow.fits and not whole
        return False
    for line in lines:
        flow.line([(line.replace(UNBROKEN, " "), bold)], size)
    return True


def _set_place(path: str, most: int, size: float, flow: Flow) -> bool:
    """Set a path on at most so many lines, broken between its steps where that will do: Shelf 3 stays together."""
    whole = " / ".join(step.replace(" ", UNBROKEN) for step in path.split(" / "))
    return any(_set_lines(text, most, size, flow, bold=False) for text in (whole, path))


def _set_reading(text: str, most: int, size: float, flow: Flow) -> None:
    """Set the reading whole; where only one line is left, shortened at its end, which is the instrument's name."""
    if _set_lines(text, most, size, flow, bold=False):
        return
    if most > 1:
        flow.fits = False
    else:
        flow.line([(shorten(text, flow.width, size, False, flow.measure), False)], size)


def _set_detail(text: str, most: int, size: float, flow: Flow) -> None:
    """Set the long words of hazards; what must be cut ends where a clause ends, if it can."""
    if most == WHOLE:
        flow.fits = _set_lines(text, most, size, flow, bold=False) and flow.fits
        return
    for cut in _cuts(text) if most else ():
        if _set_lines(cut, most, size, flow, bold=False):
            return


def _cuts(text: str) -> Iterator[str]:
    """Ever shorter texts: whole, by sentences, by clauses of the first; with the pointer to the page where it fits.

    No cut inside a later sentence: "it may lie down; the general rule says otherwise" must not end at its middle.
    """
    yield text
    sentences = re.split(r"(?<=[.])\s", text)
    clauses = re.split(r"(?<=[;:,])\s", sentences[0])
    heads = [" ".join(parts[:n]) for parts in (sentences, clauses) for n in range(len(parts) - 1, 0, -1)]
    yield from (head.rstrip(" .;:,") + tail for head in heads for tail in (CUT_SHORT, ELLIPSIS))


def _set_blanks(lines: int, size: float, flow: Flow) -> None:
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


def _set_head(words: LabelWords, plan: Plan, size: float, flow: Flow) -> str:
    """Set the tag, as large as it can be, with the state behind it; gives back a state that found no room."""
    room, measure = flow.width, flow.measure
    state = f"  {words.state}" if words.state else ""
    behind = measure(state, size, False)
    for width, tail in ((room - behind, state), (room, "")):
        big = plan.head * size
        while big > size and measure(words.tag, big, True) > width:
            big = max(size, big - 0.25)
        if measure(words.tag, big, True) <= width or not tail:
            break
    flow.line([(shorten(words.tag, room, big, True, measure), True)], big, tail, size)
    return words.state if state and not tail else ""


def _set_name(words: LabelWords, plan: Plan, size: float, flow: Flow) -> None:
    """Set the name and as many equivalents as there is room for on ``plan.same_lines`` lines."""
    measure = flow.measure
    left = list(words.same)
    wide = plan.name_lines > 1 and measure(words.name, size, True) > flow.width
    whole = wide and _set_lines(words.name, plan.name_lines, size, flow, bold=True)
    name = "" if whole else shorten(words.name, flow.width, size, True, measure)
    if not name and not left:
        return
    for number in range(plan.same_lines):
        head = name if number == 0 else ""
        room = flow.width - measure(head, size, True)
        lead = (" = " if head else "= ") if number == 0 else ""
        text, left = fill(lead, left, room, size, measure, last=number == plan.same_lines - 1)
        if not head and not text:
            return
        flow.line([(head, True), (text, False)], size)
        if not left:
            return
