"""Cells for spreadsheets: text that a spreadsheet would take for a formula is made harmless, and made as it was again.

A spreadsheet calculates a cell that begins with ``=``, ``+``, ``-`` or ``@``, also after a tab or a line end (OWASP,
"CSV Injection", lists these and their full-width forms). Such a text gets an apostrophe in front; so does a text that
is such a one behind apostrophes of its own, so that taking one apostrophe off always gives the text back.
"""

import re
from datetime import date, datetime, time

STARTERS = "=+-@\t\r\n＝＋－＠"
LONGEST = 32_767  # characters that a cell of an XLSX sheet holds (ECMA-376 as Excel documents its limits)
CUT = " [cut here: the cell was too long]"
_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")

Cell = str | int | float


def _risky(text: str) -> bool:
    rest = text.lstrip("'")
    return bool(rest) and rest[0] in STARTERS


def safe_cell(text: str) -> str:
    """The text as it may stand in a spreadsheet; ``plain_cell`` gives it back."""
    return f"'{text}" if _risky(text) else text


def plain_cell(text: str) -> str:
    """The text behind a cell that ``safe_cell`` made."""
    return text[1:] if text.startswith("'") and _risky(text) else text


def cell(value: object) -> Cell:
    """A value as a cell: numbers stay numbers, days and times are written as ISO 8601, nothing is an empty text."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return value
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="seconds")
    if isinstance(value, date | time):
        return value.isoformat()
    return safe_cell(str(value))


def sheet_text(text: str) -> str:
    """The text as a sheet of an XLSX file can hold it: what XML 1.0 forbids becomes U+FFFD, and the end is cut."""
    text = _NOT_IN_XML.sub("\ufffd", text)
    return text if len(text) <= LONGEST else text[: LONGEST - len(CUT)] + CUT
