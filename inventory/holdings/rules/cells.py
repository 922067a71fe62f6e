"""One cell of a keeper's list as text: what a spreadsheet rewrote is recognised, never calculated and never guessed."""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field

from tubes.rules.text import light

EMPTY, PLAIN, REWRITTEN, ERROR, FORMULA = "empty", "plain", "rewritten", "error", "formula"

#: Longest text that the readers of figures look at; no count, date or price is longer.
LONGEST = 200

# The error values of spreadsheet programs, as ECMA-376 part 1 lists them, and the ## of a narrow column.
_ERROR = re.compile(r"#(?:REF!|NAME\?|N/A|VALUE!|DIV/0!|NUM!|NULL!|GETTING_DATA|SPILL!|CALC!|#{2,})", re.IGNORECASE)
_POWER = re.compile(r"(?<![^\W_])[0-9]{1,40}(?:[.,][0-9]{1,40})?E[+][0-9]{1,3}(?![^\W_])", re.IGNORECASE)
_SMALL = re.compile(r"(?<![^\W_])[0-9]{1,40}[.,][0-9]{1,40}E-?[0-9]{1,3}(?![^\W_])", re.IGNORECASE)
# More figures than a spreadsheet keeps (15): the last ones are zeros of its own.
_LONG = re.compile(r"(?<![^\W_.,])[0-9]{16,}(?![^\W_])")
# Behind + - @ only what a spreadsheet would work out: a cell name, a function, a sum, a call to another program.
_WORKED = re.compile(
    r"[-+@]\s*(?:\$?[A-Z]{1,3}\$?[0-9]{1,7}\s*(?:[-+*/^&:].*)?|[A-Z][A-Z.]{0,30}\(.*|\(?[0-9.,]{1,30}\s*[-+*/^&|"
    r"].*|.*\|.*!.*)",
    re.IGNORECASE | re.DOTALL,
)
_ODD_KINDS = frozenset({"No", "Nl", "Mn", "Me", "Cs"})
_NOTHING = frozenset({"-", "--", "---", "n/a", "na", "n.a.", "n. a.", ".", "..", "...", "/", "k.a.", "s.o.", "nvt"})
_NOT_KNOWN = frozenset({"?", "??", "???", "unknown", "unk", "unbekannt", "inconnu", "onbekend", "tbd"})
_DITTO = frozenset(
    "same|ditto|dito|dto|dto.|do.|\"|''|see above|as above|s.o.|siehe oben|s. oben|idem|id.|zie boven|voir "
    "ci-dessus".split("|")
)
#: Ditto marks with or without dashes round them.
_DITTO_MARKS = re.compile(
    r"[-–—\s]*(?:[\"„“”″»]{1,4}|''|,,)[-–—\s]*|то же(?: самое)?|там же|"
    r"как выше|j\.?\s?w\.|jak wyżej|to samo|totéž|tamtéž|ebenda|hetzelfde|come sopra|lo stesso|lo mismo"
)


@dataclass(frozen=True, slots=True)
class Remark:
    """Why something was not plain, and what the keeper can do about it.

    ``why``: the reason without what was done then, where the reason says that (``kept_as_found``).
    """

    reason: str
    action: str = ""
    why: str = field(default="", compare=False)


def kept_as_found(why: str, action: str, join: str = "; ") -> Remark:
    """The remark on a cell that is kept as it was written since it says no figure, day or price."""
    return Remark(f"{why}{join}kept as found", action, why)


@dataclass(frozen=True, slots=True)
class CellReading:
    """`text` the cell without what is only a spreadsheet's mark; `kind` empty, plain, rewritten, error or formula."""

    text: str
    kind: str
    remark: Remark | None = None

    @property
    def damaged(self) -> bool:
        """True when the figures that stood here are lost or were never figures."""
        return self.kind in (REWRITTEN, ERROR, FORMULA)


def read_cell(cell: str) -> CellReading:
    """Read one cell of any content. Error values by ECMA-376 part 1; the rest common practice, no source."""
    text = cell.strip().strip("\ufeff\0").strip()
    if not text:
        return CellReading("", EMPTY)
    if text[0] == "'" and len(text) > 1 and not text.endswith("'"):
        # The mark by which a spreadsheet is told that text follows; what stands behind it was not rewritten.
        return CellReading(text[1:].strip(), PLAIN if text[1:].strip() else EMPTY)
    if text[0] == "=" and len(text) > 1 and text.strip("= "):
        return CellReading(
            text, FORMULA, Remark(f"{shown(text)} is a formula, not worked out", "write its result as text")
        )
    if _WORKED.fullmatch(text[: LONGEST * 5]):
        return CellReading(
            text, FORMULA, Remark(f"{shown(text)} looks like a formula, not worked out", "write what is meant")
        )
    return _rewritten(text)


def _rewritten(text: str) -> CellReading:
    if found := _ERROR.search(text):
        reason = f"{found.group()}: a spreadsheet error stands here, the original is lost"
        return CellReading(text, ERROR, Remark(reason, "look at the thing or an older list and write it again"))
    found = _POWER.search(text) or _SMALL.search(text) or _LONG.search(text)
    if found:
        reason = f"{shown(found.group())}: rewritten by a spreadsheet, the original cannot be told"
        return CellReading(text, REWRITTEN, Remark(reason, "write it again with the column set to text"))
    return CellReading(text, PLAIN)


def shown(text: str) -> str:
    """A text short enough to be named in a remark."""
    flat = " ".join(text[:200].split())
    return flat if len(flat) <= 40 else flat[:37] + "..."


def row_text(cells: Iterable[str]) -> str:
    """The filled cells of a row as they stand, for a remark on all of the row."""
    return " | ".join(cell for cell in cells if cell.strip())


def figures_text(text: str) -> str | None:
    """The text with one kind of dash, space and figure, for the readers of figures; None if it is too long or odd.

    Raised and fraction figures would be stuck to their neighbours (5 and a raised 2 made 52), a struck-out figure has a
    mark over it, and figures may be held apart by what cannot be seen: none of these is read.
    """
    if len(text) > LONGEST:
        return None
    return light(text) if text.isascii() or not _odd(text) else None


def _odd(text: str) -> bool:
    kinds = [unicodedata.category(char) for char in unicodedata.normalize("NFC", text)]
    return any(kind in _ODD_KINDS for kind in kinds) or re.search(r"Nd(?:Cf)+Nd", "".join(kinds)) is not None


def says_nothing(text: str) -> bool:
    """True for a dash, n/a and the like: the keeper passed the cell over."""
    return text.strip().casefold() in _NOTHING


def says_unknown(text: str) -> bool:
    """True for a question mark or a word for it."""
    return text.strip().casefold() in _NOT_KNOWN


def says_ditto(text: str) -> bool:
    """True when the cell refers to the row above."""
    plain = text.strip().casefold()
    return plain in _DITTO or _DITTO_MARKS.fullmatch(plain) is not None
