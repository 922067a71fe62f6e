"""The stamp of a row that goes out: which thing it is, when it went out, and a mark of what each of its cells said.

By it a list that comes back says what was changed in it: a cell that bears the mark of its column was left alone,
whatever a spreadsheet made of its writing, and where what the register says now bears none, somebody changed it here
meanwhile. A mark is 30 bits of a digest of heading and value; it says nothing of the value itself.
"""

import base64
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b

from inventory.lists.rules.rewriting import may_say, value_of

#: The heading of the column that bears it.
STAMP = "As taken out"
_MARK = 6  # signs of each mark
_STAMP = re.compile(r"([a-z-]{1,20}) (\S{1,20}) (\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ) ([a-z2-7]*)")


@dataclass(frozen=True, slots=True)
class Stamp:
    """``name``: the list that it went out with; ``at``: when, in UTC; ``marks``: of its cells."""

    name: str
    tag: str
    at: str
    marks: frozenset[str]

    def bears(self, heading: str, cell: str) -> bool:
        """Whether the register said this when the row went out (``cell``: as the list out says it)."""
        return _mark_of(heading, cell) in self.marks

    def may_bear(self, heading: str, cell: str) -> bool:
        """Whether a cell that came back may be a writing of what went out."""
        return any(_mark(heading, value) in self.marks for value in may_say(cell))


def stamp_of(name: str, tag: str, at: str, headings: Sequence[str], cells: Sequence[object]) -> str:
    """The stamp of a row. ``name``: of the list; ``at``: when it goes out, such as 2026-11-30T22:41:07Z."""
    marks = "".join(_mark_of(heading, str(cell)) for heading, cell in zip(headings, cells, strict=True))
    told = f"{name} {tag} {at} {marks}"
    return told + _mark("", told)


def read_stamp(text: str) -> Stamp | None:
    """The stamp in a cell; None where it is none, or is not whole any more."""
    found = _STAMP.fullmatch(text.strip())
    if not found or len(found[4]) % _MARK or found[4][-_MARK:] != _mark("", text.strip()[:-_MARK]):
        return None
    marks = found[4][:-_MARK]
    return Stamp(found[1], found[2], found[3], frozenset(marks[at : at + _MARK] for at in range(0, len(marks), _MARK)))


@lru_cache(maxsize=20_000)
def _mark_of(heading: str, cell: str) -> str:
    """The mark of a cell that goes out; most cells of a list say what others say too."""
    return _mark(heading, value_of(cell))


def _mark(heading: str, value: str) -> str:
    told = blake2b(f"{heading}\x1f{value}".encode("utf-8", "replace"), digest_size=5).digest()
    return base64.b32encode(told).decode().lower()[:_MARK]
