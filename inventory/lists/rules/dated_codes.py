"""Date codes that a spreadsheet took for a day: 4-44 comes back as Apr 44 or 1944-04-01, 3-12 as a day of this year.

The cell is kept as it stands and what it most likely was is told; nothing else is written for it. How spreadsheets
do it (a month and a year become the first of the month, a month and a day one of the year of entry): common practice,
no source.
"""

import re
from dataclasses import dataclass
from datetime import date

from inventory.holdings.rules.cells import Remark, shown
from inventory.holdings.rules.date_words import MONTH, MONTHS

_ISO = re.compile(r"(?P<year>(?:19|20)[0-9]{2})-(?P<month>[0-9]{1,2})-(?P<day>[0-9]{1,2})(?:[ t]00:00(?::00)?)?")
_FIGURES = re.compile(r"(?P<one>[0-9]{1,2})(?P<sign>[./-])(?P<two>[0-9]{1,2})(?P=sign)(?P<year>(?:19|20)[0-9]{2})")
_MONTH_AND_YEAR = re.compile(rf"{MONTH}[ -]'?(?P<year>[0-9]{{2}})")
_DAY_AND_MONTH = re.compile(rf"(?P<day>[0-9]{{1,2}})(?:-|\.\s?){MONTH}")
_FIRST_OF_NOW = 2000  # a day of these years is one on which somebody typed, and tells no year of making


@dataclass(frozen=True, slots=True)
class DateCode:
    """A date code as it stands, ``was`` what a spreadsheet most likely made it of; "" where it made nothing."""

    text: str
    was: str = ""
    remark: Remark | None = None


def read_date_code(text: str) -> DateCode:
    """Read the cell of a date code of any content; never raises."""
    was = _was(" ".join(text.casefold().split()))
    if not was:
        return DateCode(text)
    told = f"{shown(text)}: a spreadsheet may have turned a date code into a date, most likely {was}; kept as it stands"
    return DateCode(text, was, Remark(told, "look at the tube and write the code as it is stamped"))


def _was(plain: str) -> str:
    if found := _MONTH_AND_YEAR.fullmatch(plain):
        return f"{MONTHS[found['month']]}-{found['year']}"
    if found := _DAY_AND_MONTH.fullmatch(plain):
        return _either(MONTHS[found["month"]], int(found["day"]))
    if found := _ISO.fullmatch(plain):
        return _of_day(int(found["year"]), int(found["month"]), int(found["day"]))
    if found := _FIGURES.fullmatch(plain):
        one, two, year = int(found["one"]), int(found["two"]), int(found["year"])
        month, day = (two, one) if one > 12 or (one == 1 and two <= 12) else (one, two)
        return _of_day(year, month, day)
    return ""


def _of_day(year: int, month: int, day: int) -> str:
    try:
        date(year, month, day)
    except ValueError:
        return ""
    if year >= _FIRST_OF_NOW:
        return _either(month, day)
    return f"{month}-{year % 100:02}" if day == 1 else f"{month}-{day}-{year % 100:02}"


def _either(month: int, day: int) -> str:
    return " or ".join(dict.fromkeys((f"{month}-{day}", f"{day}-{month}")))
