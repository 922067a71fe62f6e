"""What is typed at the shelf in one line: a stamp, how many alike, or a ditto mark for the stamp before."""

import re
from dataclasses import dataclass

DITTO = ('"', "\u2033", "\u3003", "''", ",,")  # as lists by hand have it
MOST = 500
SHORTEST = 3  # letters and figures of a stamp; "2 x 2" is a 2X2 with blanks, not two of something
_AHEAD = re.compile(r"(?P<count>[0-9]{1,3})\s*[xX×*]\s+(?P<stamp>\S.*)")
_BEHIND = re.compile(r"(?P<stamp>\S.*?)\s+[xX×*]\s*(?P<count>[0-9]{1,3})")


@dataclass(frozen=True)
class ShelfLine:
    """``count`` is 0 where the line says none. ``ditto``: the stamp is the one before."""

    stamp: str
    count: int = 0
    ditto: bool = False


def read_line(text: str, before: str = "") -> ShelfLine:
    """A line in its parts: ``VT-231 x3``, ``3 x VT-231``, ``"``, ``" x3``; what is none of these is a stamp as it is.

    ``before``: the stamp that a ditto mark stands for; without one the mark stays what was typed. Whoever asks sees to
    it first that the whole is no stamp of its own.
    """
    text = text.strip()
    for shape in (_AHEAD, _BEHIND):
        match = shape.fullmatch(text)
        if match and 1 <= int(match["count"]) <= MOST and _is_stamp(match["stamp"]):
            return _dittoed(match["stamp"], int(match["count"]), before)
    return _dittoed(text, 0, before)


def _is_stamp(text: str) -> bool:
    return text in DITTO or sum(map(str.isalnum, text)) >= SHORTEST


def _dittoed(stamp: str, count: int, before: str) -> ShelfLine:
    return ShelfLine(before, count, True) if stamp in DITTO and before else ShelfLine(stamp, count)
