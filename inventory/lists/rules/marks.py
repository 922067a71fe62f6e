"""What stands in the tube column: one type, a number with two meanings, or two types."""

import re
from dataclasses import dataclass, replace

from inventory.holdings.rules.cells import Remark, shown
from tubes.rules.forms import build_of
from tubes.rules.schemes import scheme_words
from tubes.rules.stamp import Reading, StampAnswer, StampTables, read_stamp
from tubes.rules.this_tube import counted_mark, left_unread, other_half, part_of_more

_LIST = re.compile(r"\s*[,;+&/\n]\s*|\s+(?:and|und|or|oder|ou|et|of|en)\s+", re.IGNORECASE)
#: A count beside the number: `2E22 (x4)`, `2E22 x4`, `x4 2E22`, `4x 2E22`.
_TIMES = r"(?:[x×]\s?(?P<n>[0-9]{1,3})|(?P<m>[0-9]{1,3})\s?[x×])"
_BEHIND = re.compile(rf"(?P<mark>.+?)[\s,]*\(\s*{_TIMES}\s*\)", re.IGNORECASE)
_BEFORE = re.compile(rf"\(?\s*{_TIMES}\s*\)?\s+(?P<mark>.+)", re.IGNORECASE)
_OPEN = re.compile(rf"(?P<mark>.+?)[\s,]+{_TIMES}", re.IGNORECASE)
_COUNTED = re.compile(r"(?:\(?[0-9]{1,3} ?[x×]?\)?|[x×] ?[0-9]{1,3})", re.IGNORECASE)
_HOLDER = re.compile(
    r"\b(?:box(?:es)? of|cases?|cartons?|lots?|pairs?|prs?|sets?|sleeves?|bags?|trays?|quads?|paar|kartons?|kisten?|"
    r"satz|doos|paires?)\b",
    re.IGNORECASE,
)
#: `holdings` keeps this many characters of what is stamped.
LONGEST_MARK = 80


@dataclass(frozen=True, slots=True)
class MarkReading:
    """`stamp` as the stamp reader gives it; `choices` what the keeper must choose from; `refused` why it is none.

    `text` is without a count that stood beside the number; `count` is that count. `two`: refused for two types.
    `glued`: the cell as it stands, where a count may be glued to its number: the keeper is asked.
    """

    text: str
    stamp: StampAnswer
    choices: tuple[Reading, ...] = ()
    refused: Remark | None = None
    remark: Remark | None = None
    count: int | None = None
    two: bool = False
    glued: str = ""

    @property
    def not_known(self) -> str:
        """The reason of the remark that the tables have no such number; a question about the type says it better."""
        typed = any(reading.type for reading in self.stamp.readings)
        return self.remark.reason if self.remark and not typed and not self.choices else ""


def read_mark(text: str, tables: StampTables) -> MarkReading:
    """Read a tube cell of any content."""
    found = _read(" ".join(text.split()), tables)
    if found.refused or not re.search("[x×]", text, re.IGNORECASE):
        return found
    return _counted(found, tables) or found


def _counted(found: MarkReading, tables: StampTables) -> MarkReading | None:
    """The mark without the count beside it, where the number reads the same without."""
    known = bool(found.stamp.readings)
    for pattern in (_BEHIND, _BEFORE, *((_OPEN,) if known else ())):
        match = pattern.fullmatch(found.text)
        count = int(match["n"] or match["m"]) if match else 0
        if not match or not count:
            continue
        alone = _read(match["mark"], tables)
        if alone.stamp.readings == found.stamp.readings and not alone.refused:
            return replace(alone, count=count)
    if glued := counted_mark(found.text, tables):
        return replace(_read(glued[1], tables), count=glued[0], glued=found.text)
    return None


def _read(text: str, tables: StampTables) -> MarkReading:
    stamp = read_stamp(text, tables)
    if two := _two_types(text, stamp, tables):
        reason = f"two types in one cell: {' and '.join(two)}"
        return MarkReading(text, stamp, refused=Remark(reason, "give each type a row of its own"), two=True)
    if len(text) > LONGEST_MARK:
        return MarkReading(
            text, stamp, refused=Remark(f"longer than {LONGEST_MARK} characters", "move the words to the notes")
        )
    if stamp.ambiguous:
        offered = ", ".join(
            f"{r.designation} ({scheme_words(r.scheme)}) = {r.type or 'not in the tables'}" for r in stamp.readings
        )
        several = "has more than one meaning" if len(stamp.readings) > 1 else "may have another meaning beside this"
        other = f"; {stamp.readings[0].note}" if len(stamp.readings) == 1 and stamp.readings[0].note else ""
        remark = Remark(f"{shown(text)} {several}: {offered}{other}", "choose one")
        return MarkReading(text, stamp, choices=stamp.readings, remark=remark)
    typed = tuple(reading for reading in stamp.readings if reading.type)
    if loose := other_half(stamp):
        told = f"{loose} beside {typed[0].designation} is not in the tables: which tube it is, is not settled"
        return MarkReading(text, stamp, choices=typed, remark=Remark(told, "choose one"))
    if more := part_of_more(stamp):
        told = f"{shown(more)} is not in the tables, and {typed[0].designation} is only a part of it"
        return MarkReading(text, stamp, choices=typed, remark=Remark(told, "choose one"))
    return MarkReading(text, stamp, remark=_remark(text, stamp))


def _remark(text: str, stamp: StampAnswer) -> Remark | None:
    if stamp.refused:
        return Remark(stamp.refused, "look at the tube and correct the number")
    if not stamp.readings:
        return Remark(f"no known number in {shown(text)}, kept as marked", "add the designation, or correct the number")
    if all(reading.type is None for reading in stamp.readings):
        return Remark(
            f"{stamp.readings[0].designation} is not in the tables, kept as marked", "add the type if you know it"
        )
    left = stamp.leftover.strip()
    if _COUNTED.fullmatch(left):
        return Remark(f"{left} beside the number may be a count, not read", "put counts in their own column")
    if _HOLDER.search(left):
        return Remark(f"{shown(left)} beside the number: the count may be of these", "count the single tubes")
    if unread := left_unread(stamp):
        return Remark(f"{shown(unread)} beside the number was not read", "correct the mark if it belongs to it")
    return None


def _two_types(text: str, stamp: StampAnswer, tables: StampTables) -> tuple[str, ...]:
    """The types of a cell that names more than one, each mark being read by itself; else empty.

    Two forms of one number parted by a stroke (6J5GT/6J5) are two brands of one tube; common practice, no source.
    """
    if len({reading.type for reading in stamp.readings if reading.type}) < 2:
        return ()
    marks = [read_stamp(part, tables).readings for part in _LIST.split(text) if part.strip()]
    if len(marks) < 2:  # 6SN7GT 6SL7GT: no mark between them
        marks = [read_stamp(part, tables).readings for part in text.split()]
    named = [found for found in ({r.type for r in readings if r.type} for readings in marks) if found]
    for at, one in enumerate(named):
        for other in named[at + 1 :]:
            if not any(tables.linked(a, b) or ("/" in text and _one_number(a, b)) for a in one for b in other):
                return tuple(sorted({*one, *other}))
    return ()


def _one_number(one: str, other: str) -> bool:
    """Whether two types are forms of one number."""
    here, there = build_of(one), build_of(other)
    return here is not None and there is not None and here.number == there.number
