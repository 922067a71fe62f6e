"""A want in a list is not a thing owned: `2!`, `wanted`, `need 3`, a figure in the column of wants.

How people write wants: common practice, no source.
"""

import re
from dataclasses import dataclass

from inventory.holdings.rules.cells import Remark, figures_text, says_nothing, shown
from inventory.lists.rules import fields as f
from inventory.lists.rules.quantities import Quantity, read_quantity
from inventory.lists.rules.row_cells import RowCells

_WORD = (
    r"(?:still )?(?:wanted|wants?|wtb|needs?|needed|gesucht|suche|fehlt|benötigt|cherche|recherchée?s?|gezocht|nodig|"
    r"looking for|seeking|searching(?: for)?|would like|cerco|cercasi|busco|szukam|poszukuję|potrzebn[ey]|hledám|"
    r"sháním|potřebuji|ищу|нужн[аоы])"
)
_FIGURE = r"[0-9]{1,4}"
#: A whole cell that is a want, and nothing else.
_WHOLE = re.compile(
    rf"{_WORD}\s*[:!]*\s*(?:(?:noch|encore|nog|ancora|jeszcze|ještě|ещё|another)\s+)?(?:x\s*)?(?:{_FIGURE}\s*(?:pcs|stk|more|x)?\.?)?!*|{_FIGURE}\s*(?:x\s*)?{_WORD}!*"
)
#: Words that begin with one, and go on only about it: `wanted for the Skerry`, never `needs a new base`.
_BEGINS = re.compile(
    rf"(?:{_WORD}\s*[:!]*\s*{_FIGURE}!*|(?:still )?(?:wanted|gesucht|gezocht)!*)"
    r"(?:\s*[,;.(].*|\s+(?:for|für|pour|voor) .*)?",
    re.DOTALL,
)
_CALLED = re.compile(rf"{_FIGURE}\s*!+")
WANT = "want"  # the code of a remark that says so
NOT_OWNED = "a want, not a thing owned"
WANT_ACTION = "put it on the want list if it is still looked for; give the count if some are here"


@dataclass(frozen=True, slots=True)
class Want:
    """Where the row says that the thing is wanted. ``beside``: things are counted all the same.

    ``words`` is what the keeper is asked then: `wanted` beside a count of 1 may be the count of what is wanted.
    """

    field: str
    remark: Remark
    beside: bool = False
    words: str = ""


def find_want(row: RowCells, left: str, counted: Quantity, serial: str) -> Want | None:
    """The want of a row; ``left`` are the words beside the number in the cell of the thing."""
    cell = row.written(f.QUANTITY)
    plain = _plain(cell)
    if _WHOLE.fullmatch(plain) or _CALLED.fullmatch(plain):
        return Want(f.QUANTITY, Remark(f"{shown(cell)}: {NOT_OWNED}", WANT_ACTION))
    field, text = _named_in(row, left)
    some = bool(serial) or (row.has(f.QUANTITY) and bool(plain) and counted.figure != 0)
    if field and some:
        own_figure = field == f.NOTE and any(char.isdigit() for char in text)  # 2, and "need 3 more"
        words = "" if own_figure else f"{shown(text)!r} beside a count: whether they are here is not clear"
        return Want(field, Remark(NOT_OWNED, WANT_ACTION), beside=True, words=words)
    if field:
        return Want(field, Remark(NOT_OWNED, WANT_ACTION))
    if not some and _wanted(row.written(f.WANTED)):
        return Want(f.WANTED, Remark(f"none here, {shown(row.written(f.WANTED))} wanted: {NOT_OWNED}", WANT_ACTION))
    return None


def _plain(cell: str) -> str:
    return " ".join((figures_text(cell.strip()) or "").casefold().split())


def _named_in(row: RowCells, left: str) -> tuple[str, str]:
    """(field, words) where a want is named, or two empty texts."""
    for field in (f.STATE, f.KIND, f.CONDITION, f.NOTE):
        text = row.text(field)
        if _WHOLE.fullmatch(_plain(text)) or _BEGINS.fullmatch(_plain(text)):
            return field, text
    what = f.MARK if row.text(f.MARK) else f.MODEL
    return (what, row.text(what)) if _WHOLE.fullmatch(_plain(left)) else ("", "")


def _wanted(cell: str) -> bool:
    """True for a figure or a word in the column of wants."""
    if not cell.strip() or says_nothing(cell):
        return False
    wanted = read_quantity(cell)
    return wanted.figure != 0 and cell.strip().casefold() not in ("no", "nein", "non", "nee")
