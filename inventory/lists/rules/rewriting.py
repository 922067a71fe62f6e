"""What spreadsheets make of a cell when they open and save a file: the same value in another writing.

``01432`` becomes 1432, ``2E26`` 2.00E+26, ``2026-04-05`` 05/04/2026, ``0.01`` 0,01, ``4-44`` Apr-44, ``true`` TRUE, and
letters that an old code page lacks become question marks. How they do it: common practice, no source. Here a cell is
looked at as one value: ``value_of`` says which, ``may_say`` which values it may be a rewriting of, and ``rewrites``
compares two texts where both are known.
"""

import re
import unicodedata
from datetime import date
from decimal import Decimal, InvalidOperation

from inventory.holdings.rules.date_words import MONTHS
from inventory.lists.rules.spreadsheet_cells import CUT, plain_cell, sheet_text

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?")
_COMMA = re.compile(r"[+-]?\d*,\d+(?:[eE][+-]?\d{1,3})?")
_PARTED = re.compile(r"[+-]?[1-9]\d{0,2}(?:([., \u00a0\u202f'])\d{3})(?:\1\d{3})*(?:[.,]\d+)?")  # 1.234,5 or 1 234
_ISO = re.compile(r"(\d{4})-(\d\d)-(\d\d)(?:[ T]00:00(?::00(?:\.0+)?)?)?")
_DAY = re.compile(r"(\d{1,4}|[^\W\d_]{3,9})[-./ ,]+(\d{1,2}|[^\W\d_]{3,9})\.?[-./ ,]+(\d{1,4})(?: 0?0:00(?::00)?)?")
_SHORT_DAY = re.compile(r"\d{1,4}[-./]\d{1,2}(?:[-./]\d{1,4})?")
_PARTS = re.compile(r"\d+|[^\W\d_]{3,9}")
_CLOSE = 15  # figures that a spreadsheet keeps of a number


def plain(text: str) -> str:
    """The text of a cell as it is compared: without the apostrophe of a list out, line ends as one sign, no blank ends.

    As a sheet can hold it, so that a text that was cut on its way out is itself when it comes back.
    """
    return sheet_text(plain_cell(text)).replace("\r\n", "\n").replace("\r", "\n").strip()


def was_cut(text: str) -> bool:
    """Whether a cell was cut short when it went out: to write it back would lose the rest."""
    return plain(text).endswith(CUT.strip())


def value_of(text: str) -> str:
    """The value of a cell that went out, one text for all writings of it: a number, a day as ISO 8601, or the text."""
    text = plain(text)
    if _NUMBER.fullmatch(text):
        return _number(text) or f"t:{text}"
    if (found := _ISO.fullmatch(text)) and (day := _day(int(found[1]), int(found[2]), int(found[3]))):
        return day
    if text.casefold() in ("true", "false"):
        return f"t:{text.casefold()}"
    return f"t:{unicodedata.normalize('NFC', text)}"


def may_say(text: str) -> set[str]:
    """Every value (as ``value_of`` has it) that a cell may be a writing of; several where that cannot be told."""
    text = plain(text)
    found = {value_of(text)}
    if _COMMA.fullmatch(text):
        found.add(_number(text.replace(",", ".")))
    if parted := _PARTED.fullmatch(text):
        found.add(_number(text.replace(parted[1], "").replace(",", ".")))
    return (found - {""}) | days_of(text)


def days_of(text: str) -> set[str]:
    """The days that a cell can mean, whichever of day and month comes first: empty where it is no day."""
    text = plain(text)
    if found := _ISO.fullmatch(text):
        return {day} if (day := _day(int(found[1]), int(found[2]), int(found[3]))) else set()
    if not (found := _DAY.fullmatch(text)):
        return set()
    one, other, last = found.groups()
    days: set[str] = set()
    for year, month, day in ((last, other, one), (last, one, other), (one, other, last)):
        if not (year.isdigit() and day.isdigit()) or len(year) not in (2, 4):
            continue
        number = int(month) if month.isdigit() else MONTHS.get(month.casefold(), 0)
        years = [int(year)] if len(year) == 4 else [1900 + int(year), 2000 + int(year)]
        days |= {told for one_year in years if (told := _day(one_year, number, int(day)))}
    return days


def rewrites(cell: str, before: str) -> bool:
    """Whether a cell can be what a spreadsheet made of a text that is known."""
    cell, before = plain(cell), plain(before)
    if value_of(before) in may_say(cell):
        return True
    return _rounded(cell, before) or _taken_for_a_day(cell, before) or _lost_letters(cell, before)


def _number(text: str) -> str:
    try:
        figure = Decimal(text).normalize()
    except InvalidOperation:
        return ""
    sign, figures, exponent = figure.as_tuple()
    return "n:0" if not figure else f"n:{'-' if sign else ''}{''.join(map(str, figures))}e{exponent}"


def _day(year: int, month: int, day: int) -> str:
    try:
        return f"d:{date(year, month, day).isoformat()}"
    except ValueError:
        return ""


def _rounded(cell: str, before: str) -> bool:
    """123456789012 shown as 1.23457E+11, or a number of more figures than a spreadsheet keeps."""
    cell = cell.replace(",", ".")
    if not (_NUMBER.fullmatch(cell) and _NUMBER.fullmatch(before)):
        return False
    told, known = Decimal(cell), Decimal(before)
    shown = re.sub(r"[eE].*", "", cell)
    kept = len(re.sub(r"\D", "", shown).lstrip("0")) if "e" in cell.casefold() else _CLOSE
    if not known or not told or kept < 3 or len(known.as_tuple().digits) <= kept:
        return False
    return abs(known - told) * 2 <= Decimal(10) ** (known.adjusted() - kept + 1)


def _taken_for_a_day(cell: str, before: str) -> bool:
    """4-44 shown as Apr-44, 1944-04-01 or 01.04.1944."""
    if not _SHORT_DAY.fullmatch(before):
        return False
    told, known = _figures(cell), _figures(before)
    if len(told) < 2 or len(told) > 3:
        return False
    if told == known:
        return True
    return len(known) == 2 and len(told) == 3 and not days_of(cell).isdisjoint(_days_made_of(before, cell))


def _days_made_of(before: str, cell: str) -> set[str]:
    """The days that a spreadsheet makes of two figures: the first of a month (4-44), or a day of a month of the year in
    which the file was opened, which alone the cell tells (4-5).
    """
    one, other = (int(part) for part in _PARTS.findall(before))
    days: set[str] = set()
    for month, rest in ((one, other), (other, one)):
        years = [rest] if rest > 99 else [1900 + rest, 2000 + rest]
        days |= {_day(year, month, 1) for year in years}
        days |= {_day(year, month, rest) for year in map(int, re.findall(r"(?<![0-9])20[2-9][0-9](?![0-9])", cell))}
    return days - {""}


def _figures(text: str) -> list[int]:
    """Its figures and months in order of size, years by their last two; empty where a word is no month."""
    parts = _PARTS.findall(text.removesuffix(" 00:00:00").removesuffix(" 00:00"))
    told = [int(part) % 100 if part.isdigit() else MONTHS.get(part.casefold(), -1) for part in parts]
    return [] if -1 in told else sorted(told)


def _lost_letters(cell: str, before: str) -> bool:
    """Letters that a code page lacks come back as question marks."""
    if "?" not in cell or len(cell) != len(before) or cell == before:
        return False
    return all(one == other or (one == "?" and not other.isascii()) for one, other in zip(cell, before, strict=True))
