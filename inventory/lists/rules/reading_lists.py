"""Several readings in one cell, one for each tube of the row: `70, 66, 71, 44?` beside a count of 4.

Only where there are exactly as many as tubes is it told whose each is: the first is of the first tube. A comma
without a space between two figures may be a decimal one. Ways of writing: common practice, no source.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from inventory.holdings.rules.cells import Remark, figures_text, says_nothing, says_unknown, shown
from inventory.holdings.rules.readings import UNKNOWN, UNREAD, WORD, TestReading, read_reading
from inventory.lists.rules.states import DUD, WEAK, read_state

#: In this order; the first that parts a cell into readings is taken.
_BETWEEN = tuple(
    re.compile(pattern)
    for pattern in (
        r"\s*[;|\n]\s*", r",\s+", r"\s*[+&]\s*|\s+(?:and|und|et|en|e|y|i|a|и)\s+", r"\s*,\s*", r"\s+/\s+", r"/",
        r"\s+-\s+", r"-", r"\s+",
    )
)  # fmt: skip
_TWO_WAYS = frozenset({",", "/", "-", " / ", " - "})  # between two figures these are as often something else
_LABEL = re.compile(r"(?:#\s*[0-9]{1,2}\s*[:=)]?|[0-9]{1,2}\s*[:=)]|[a-h]\s*[:=)])\s*(?=\S)", re.IGNORECASE)
_THOUSANDS = re.compile(r"[0-9]{1,3}(?: [0-9]{3})+(?![0-9])(?: ?[^0-9]{1,6})?")
_DOUBTED = re.compile(r"\(\?\)|\?")


@dataclass(frozen=True, slots=True)
class Each:
    """``readings`` and, beside each, which thing of the row it is of (from 0); ``states`` by thing where a word stands
    for a reading; ``remark`` what is not sure.
    """

    readings: tuple[TestReading, ...]
    whose: tuple[int, ...]
    states: tuple[str, ...]
    remark: Remark | None = None


def one_each(
    cell: str, heading: str, instrument: str, count: int, parted: Callable[[TestReading], Sequence[TestReading]]
) -> Each | Remark | None:
    """The readings of a cell one by one. A remark where it holds several, but not one for each of ``count`` things;
    None where it holds one or none. ``parted`` makes of reading/minimum what the row makes of it elsewhere.
    """
    text = figures_text(cell.strip()) or ""
    if not text or "\n" in cell:
        text = "; ".join(filter(None, (figures_text(line.strip()) for line in cell.splitlines())))
    several = 0
    for pattern in _BETWEEN:
        parts = [part for part in pattern.split(text) if part.strip()]
        if len(parts) < 2 or (len(parts) == 2 and _sign(pattern, text) in _TWO_WAYS) or _THOUSANDS.fullmatch(text):
            continue
        found = [_one(part.strip(), heading, instrument) for part in parts]
        if None in found:
            continue
        if len(parts) == count:
            return _each([one for one in found if one], parts, parted)
        several = several or len(parts)
    if several:
        things = f"{count} things" if count > 1 else "one thing"
        reason = f"{shown(cell)}: {several} readings for {things}, whose each is, is not told; kept as found"
        return Remark(reason, "give each tube a row of its own, or as many readings as there are")
    return None


def _sign(pattern: re.Pattern[str], text: str) -> str:
    found = pattern.search(text)
    return found.group() if found else ""


def _one(part: str, heading: str, instrument: str) -> TestReading | None:
    """One reading, a word for it, or a dash where a tube was not read; None where it is nothing of these."""
    text = _LABEL.sub("", part, count=1) if _LABEL.match(part) else part
    if says_nothing(text) or says_unknown(text):
        return TestReading(part, UNKNOWN)
    bare = _DOUBTED.sub("", text).strip()
    if not any(char.isdigit() for char in bare):
        return TestReading(part, WORD) if read_state(bare).state else None
    found = read_reading(bare, heading, instrument)
    return None if found.kind in (UNREAD, UNKNOWN) or not found.value else replace(found, text=part)


def _each(
    found: list[TestReading], parts: Sequence[str], parted: Callable[[TestReading], Sequence[TestReading]]
) -> Each:
    units = {one.unit for one in found if one.unit}
    if len(units) == 1 and found[-1].unit and not any(one.unit for one in found[:-1]):  # 70, 66, 71 mA/V
        found = [replace(one, unit=found[-1].unit, scale=found[-1].scale) if one.value else one for one in found]
    readings: list[TestReading] = []
    whose: list[int] = []
    for at, one in enumerate(found):
        for part in parted(one) if one.value else (one,):
            if one.kind != UNKNOWN:
                readings.append(part)
                whose.append(at)
    states = tuple(_state(one) for one in found)
    doubted = [part.strip() for part in parts if _DOUBTED.search(part)]
    remark = Remark(f"{', '.join(doubted)} is doubted in the list", "test it again") if doubted else None
    return Each(tuple(readings), tuple(whose), states, remark)


def _state(one: TestReading) -> str:
    state = read_state(_DOUBTED.sub("", one.text).strip()).state if one.kind == WORD else ""
    return state if state in (DUD, WEAK) else ""
