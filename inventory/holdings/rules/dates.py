"""Dates as people write them, with the precision they have. What can be read two ways is left unread, with both ways.

Forms and their meaning are common practice, no source, except ISO 8601 dates and the day numbers of the 1900 date
system of spreadsheets (ECMA-376 part 1, 18.17.4.1), whose day 60 is a 29 February 1900 that never was.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from inventory.holdings.rules.cells import (
    Remark,
    figures_text,
    kept_as_found,
    read_cell,
    says_ditto,
    says_nothing,
    says_unknown,
    shown,
)
from inventory.holdings.rules.date_words import (
    ABOUT,
    AFTER,
    BEFORE,
    EARLIEST,
    EARLY,
    MONTH,
    MONTHS,
    SEASON,
    SEASONS,
    SINCE,
    full_year,
    is_year_like,
)

DAY, MONTH_ONLY, SEASON_ONLY, YEAR, DECADE = "day", "month", "season", "year", "decade"
BEFORE_IT, AFTER_IT, UNREAD, UNKNOWN = "before", "after", "unread", "unknown"
DAY_FIRST, MONTH_FIRST = "day", "month"

_TWO_WAYS = "write the month as a word, or say which comes first"
_RIGHT = "write the right date"


@dataclass(frozen=True, slots=True)
class DateReading:
    """`first` and `last` are the days it can lie between, both None when unread; open on one side for before and after.

    `precision` is day, month, season, year, decade, before, after, unread or unknown (nothing was written). `sure` is
    False where the keeper wrote a question mark or about.
    """

    text: str
    precision: str
    first: date | None = None
    last: date | None = None
    sure: bool = True
    remark: Remark | None = None

    @property
    def read(self) -> bool:
        return self.precision not in (UNREAD, UNKNOWN)


class _Unread(Exception):
    """Not to be read; args are the reason and what to do."""


Span = tuple[str, date, date]


def read_date(cell: str, today: date, order: str | None = None) -> DateReading:
    """Read a date of any content; never raises. `order` is day, month or None: which comes first in 04/05/06."""
    seen = read_cell(cell)
    if seen.remark:
        return _unread(cell, seen.remark.reason, seen.remark.action)
    # An apostrophe before two figures is the year's own, not a spreadsheet's mark.
    text = figures_text(cell.strip() if re.fullmatch("'[0-9]{2}", cell.strip()) else seen.text)
    plain = text or ""
    if text is not None and (not plain or says_unknown(plain) or says_nothing(plain)):
        return DateReading(cell, UNKNOWN)
    if text is None:
        return _unread(cell, "cannot be read as a date", _RIGHT)
    if says_ditto(plain):
        return _unread(cell, "refers to the row above, which may since have moved", "write the date itself")
    try:
        return _told(_read(cell, plain, today, order))
    except _Unread as why:
        return _unread(cell, *why.args)
    except (ValueError, OverflowError, KeyError):
        return _unread(cell, f"{shown(plain)} is no day of the calendar", _RIGHT)


def _unread(cell: str, reason: str, action: str) -> DateReading:
    return DateReading(cell, UNREAD, remark=kept_as_found(reason, action))


def _told(found: DateReading) -> DateReading:
    """A date that is neither a sure day nor a plain year gets a word, so that nobody takes it for more than it is."""
    first, last = found.first, found.last
    year = found.precision == YEAR and first and last and first.year == last.year
    if found.remark or (found.sure and (year or found.precision == DAY)):
        return found
    between = " to ".join(day.isoformat() for day in dict.fromkeys((first, last)) if day)
    side = {BEFORE_IT: "up to ", AFTER_IT: "from "}.get(found.precision, "")
    reason = f"no sure day: kept as found, read as {side}{between}"
    return replace(found, remark=Remark(reason, "give the day if you know it"))


#: Words round a date: `12 мая 1987 г.`, `12 de mayo de 1990`, `am 3. Mai 1988`.
_YEAR_WORD = re.compile(r"(?<=[0-9])\s*(?:года?|г|roku|r)\.?$", re.IGNORECASE)
_BETWEEN = re.compile(r"\s+(?:de|del|di)\s+", re.IGNORECASE)
_ON_DAY = re.compile(r"^(?:в|w|v|ve|in|im|en|nel|anno|le|il|el|op|am|dne|dnia)\s+(?=[^\s])", re.IGNORECASE)


def _read(cell: str, plain: str, today: date, order: str | None) -> DateReading:
    bare = plain.rstrip("!.;, ").strip()
    sure = "?" not in bare
    bare = bare.replace("(?)", " ").replace("?", " ").strip()
    bare = _YEAR_WORD.sub("", _BETWEEN.sub(" ", _ON_DAY.sub("", bare)))
    if found := re.fullmatch(rf"{ABOUT}(.+)", bare, re.IGNORECASE):
        sure, bare = False, found.group(1)
    for kind, pattern in ((BEFORE_IT, BEFORE), (AFTER_IT, AFTER), ("since", SINCE)):
        found = re.fullmatch(rf"{pattern}(?P<rest>.+)", bare, re.IGNORECASE)
        if found and any(char.isdigit() for char in found["rest"]):
            span, _ = _span(found["rest"].strip(), today, order)
            return _one_sided(cell, kind, span, sure, today)
    (precision, first, last), remark = _span(bare, today, order)
    if first > today:
        raise _Unread(f"{shown(plain)} lies in the future", _RIGHT)
    if first < EARLIEST:
        raise _Unread(f"{shown(plain)} is older than any radio tube", _RIGHT)
    return DateReading(cell, precision, first, last, sure, remark)


def _one_sided(cell: str, kind: str, span: Span, sure: bool, today: date) -> DateReading:
    _, first, last = span
    if first > today:
        raise _Unread(f"{shown(cell)} lies in the future", _RIGHT)
    if first < EARLIEST:
        raise _Unread(f"{shown(cell)} is older than any radio tube", _RIGHT)
    if kind == BEFORE_IT:
        return DateReading(cell, BEFORE_IT, None, first - timedelta(days=1), sure)
    return DateReading(cell, AFTER_IT, last + timedelta(days=1) if kind == AFTER_IT else first, None, sure)


def _span(bare: str, today: date, order: str | None) -> tuple[Span, Remark | None]:
    """Precision, first and last day of a text, with a remark where the reading leans on a habit."""
    for pattern, read in _FORMS:
        if found := pattern.fullmatch(bare):
            return read(found, today, order)
    raise _Unread(f"{shown(bare)} cannot be read as a date", _RIGHT)


def _day(year: int, month: int, day: int) -> Span:
    found = date(year, month, day)
    return DAY, found, found


def _month(year: int, month: int) -> Span:
    first = date(year, month, 1)
    return MONTH_ONLY, first, date(year + month // 12, month % 12 + 1, 1) - timedelta(days=1)


def _year(year: int, last: int | None = None, precision: str = YEAR) -> Span:
    return precision, date(year, 1, 1), date(last or year, 12, 31)


Read = tuple[Span, Remark | None]


def _iso(found: re.Match[str], today: date, order: str | None) -> Read:
    return _day(int(found["year"]), int(found["month"]), int(found["day"])), None


def _compact(found: re.Match[str], today: date, order: str | None) -> Read:
    remark = Remark(f"{found.group()} read as year, month and day without marks between", "correct it if it is not")
    return _day(int(found["year"]), int(found["month"]), int(found["day"])), remark


def _iso_month(found: re.Match[str], today: date, order: str | None) -> Read:
    year, second = int(found["year"]), found["month"]
    if int(second) > 12:
        return _years(year, second, today), None
    if int(second) == year % 100 + 1:  # 2004-05 is May 2004 or the winter of two years
        raise _Unread(f"{found.group()} is a month or two years", _TWO_WAYS)
    return _month(year, int(second)), None


def _years(year: int, second: str, today: date) -> Span:
    last = int(second) if len(second) == 4 else year // 100 * 100 + int(second)
    if len(second) == 2 and last < year:  # 1999/00
        last += 100
    if not year < last <= year + 30:
        raise _Unread(f"{year} to {second} is no span of years", _RIGHT)
    return _year(year, last)


def _two_years(found: re.Match[str], today: date, order: str | None) -> Read:
    return _years(int(found["year"]), found["last"], today), None


def _named(found: re.Match[str], today: date, order: str | None) -> Read:
    """A day, a month as a word and a year, in either order of day and month."""
    return _day(full_year(found["year"], today), MONTHS[found["month"].casefold()], int(found["day"])), None


def _named_month(found: re.Match[str], today: date, order: str | None) -> Read:
    """A month as a word with one figure: `May 04` and `04 May` are the fourth of May or May 2004."""
    month, figure = MONTHS[found["month"].casefold()], found["year"]
    certain = len(figure) == 4 or found.groupdict().get("mark")
    if not certain and 1 <= int(figure) <= 31:
        year = full_year(figure, today) if len(figure) == 2 else None
        other = f" or {found['month'].title()} {year}" if year else ""
        raise _Unread(f"{found.group()} can be day {int(figure)} of an unsaid year{other}", "write the year in full")
    if len(figure) == 1:
        raise _Unread(f"{found.group()} has no year", "write the year in full")
    return _month(full_year(figure, today), month), None


def _month_year(found: re.Match[str], today: date, order: str | None) -> Read:
    """1/82, 01/1982: figures; with a two-figure year up to 31 it may be a day of a month."""
    month, year = int(found["month"]), found["year"]
    if len(year) == 2 and int(year) <= 31:
        raise _Unread(f"{found.group()} can be a month and a year or a day without a year", "write the year in full")
    return _month(full_year(year, today), month), None


def _figures(found: re.Match[str], today: date, order: str | None) -> Read:
    """Three figures with a year last: day and month either way."""
    one, two = int(found["one"]), int(found["two"])
    year = full_year(found["year"], today)
    if one > 12 or two > 12 or one == two:
        day, month = (one, two) if one >= two else (two, one)
        return _day(year, month, day), None
    if order:
        return _day(year, *((one, two) if order == MONTH_FIRST else (two, one))), None
    if found["mark"] == ".":
        remark = Remark(
            f"{found.group()} read with the day first, as dates with points are", "say so if the month is first"
        )
        return _day(year, two, one), remark
    if len(found["year"]) == 2 and found["mark"] == "-":
        raise _Unread(f"{found.group()} can be read three ways", _TWO_WAYS)
    both = f"{date(year, two, one).isoformat()} or {date(year, one, two).isoformat()}"
    raise _Unread(f"{found.group()} can be {both}", _TWO_WAYS)


def _season(found: re.Match[str], today: date, order: str | None) -> Read:
    year, month = full_year(found["year"], today), SEASONS[found["season"].casefold()]
    if month == 12:  # the winter of 1998 began or ended in it
        return (SEASON_ONLY, date(year, 1, 1), _month(year + 1, 2)[2]), None
    return (SEASON_ONLY, date(year, month, 1), _month(year, month + 2)[2]), None


def _decade(found: re.Match[str], today: date, order: str | None) -> Read:
    text = found["year"]
    year = int(text)
    if len(text) == 2:
        if 10 <= year <= today.year % 100:
            raise _Unread(f"{found.group()} can be a decade of either century", "write all four figures")
        year = full_year(text, today)
    return _year(year, year + 9, DECADE), None


def _number(found: re.Match[str], today: date, order: str | None) -> Read:
    """A bare figure: a year, or a spreadsheet's day number."""
    figure = found["figure"]
    if is_year_like(figure) and not found["part"]:
        return _year(int(figure)), None
    if len(figure) == 2 and found["mark"]:
        return _year(full_year(figure, today)), None
    day = from_day_number(int(figure))
    if day is None:
        raise _Unread(f"{found.group()} is a day that never was: 29 February 1900", _RIGHT)
    if len(figure) != 5:  # five figures run from 1927 on; fewer are as likely a count
        raise _Unread(f"{found.group()} is neither a year nor a likely day number", _RIGHT)
    remark = Remark(f"{figure} read as a spreadsheet's day number", "correct it if the list came from a 1904 workbook")
    return (DAY, day, day), remark


def from_day_number(number: int) -> date | None:
    """The date of a day number of the 1900 system; None for 60. Raises OverflowError beyond the calendar."""
    if number == 60:
        return None
    return date(1899, 12, 31 if number < 60 else 30) + timedelta(days=number)


_D, _Y, _YY = r"(?P<day>[0-9]{1,2})", r"(?P<year>[0-9]{4}|[0-9]{2})", r"(?P<year>(?:1[89]|20)[0-9]{2})"
_CLOCK = r"(?:[t ]+[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]{1,6})?)?(?:z|\+00:?00)?)?"
_Form = tuple[str, Callable[[re.Match[str], date, str | None], Read]]
_PATTERNS: tuple[_Form, ...] = (
    (rf"{_YY}(?P<mark>[-/.])(?P<month>[0-9]{{1,2}})(?P=mark)(?P<day>[0-9]{{1,2}}){_CLOCK}", _iso),
    (r"(?P<year>(?:19|20)[0-9]{2})(?P<month>[0-9]{2})(?P<day>[0-9]{2})", _compact),
    (rf"{_YY}-(?P<month>[0-9]{{2}})", _iso_month),
    (rf"{_YY}\s*[-/]\s*(?P<last>[0-9]{{4}}|[0-9]{{2}})", _two_years),
    (rf"{_D}(?:\.|st|nd|rd|th|er)?[ -]*(?:of )?{MONTH}[ ,-]*'?{_Y}", _named),
    (rf"{MONTH} *{_D}(?:st|nd|rd|th)?(?:, *| +|-)'?{_Y}", _named),
    (rf"{MONTH}[ ,/-]*(?P<mark>')? *(?P<year>[0-9]{{4}}|[0-9]{{1,2}})", _named_month),
    (rf"(?P<year>0?[1-9]|[12][0-9]|3[01])(?:st|nd|rd|th)?[ .-]*(?:of )?{MONTH}", _named_month),
    (r"(?P<month>0?[1-9]|1[0-2])[/.-]'?(?P<year>[0-9]{4}|[0-9]{2})", _month_year),
    (rf"(?P<one>[0-9]{{1,2}})(?P<mark>[-/.]) ?(?P<two>[0-9]{{1,2}})(?P=mark) ?'?{_Y}{_CLOCK}", _figures),
    (rf"{SEASON}(?: of)? *'?{_Y}", _season),
    (rf"(?:{EARLY})?(?:the )?'?(?P<year>(?:1[89]|20)[0-9]0|[0-9]0)(?:'?s|er)(?: jahre)?", _decade),
    (r"(?P<mark>')?(?P<figure>[0-9]{1,7})(?P<part>\.[0-9]{1,12})?", _number),
)
_FORMS = tuple((re.compile(pattern, re.IGNORECASE), read) for pattern, read in _PATTERNS)
