"""Words of dates in nine languages, and the year that two figures mean.

Months by the Unicode CLDR (package Babel); seasons and what stands before a date: common practice, no source.
"""

import re
from datetime import date

from babel.dates import get_month_names

#: Languages in which months are read, by the tables of the Unicode CLDR.
_LANGUAGES = ("en", "de", "fr", "nl", "it", "es", "pl", "cs", "ru")
#: Short forms that keepers write and the tables have not; common practice, no source.
_SHORT_FORMS = (
    "jän jänner janv gen ene", "feb fév", "mar märz mär mrz mrt", "apr avr abr", "mag may", "jun juin giu",
    "jul juil lug", "aug ago", "sep sept set setiembre сен", "oct okt ott", "nov ноя", "dec dez déc dic",
)  # fmt: skip


def _months() -> dict[str, int]:
    """Every name of a month in these languages, small and without a full stop, and its number."""
    found: dict[str, int] = {}
    for language in _LANGUAGES:
        for width in ("wide", "abbreviated"):
            for context in ("format", "stand-alone"):
                for number, name in get_month_names(width, context, language).items():
                    found.setdefault(name.casefold().rstrip("."), number)
    for number, names in enumerate(_SHORT_FORMS, start=1):
        found |= dict.fromkeys(names.split(), number)
    return found


MONTHS = _months()
MONTH = "(?P<month>" + "|".join(sorted(MONTHS, key=len, reverse=True)) + r")\.?"

_SEASON_NAMES = {
    "spring frühjahr frühling printemps lente voorjaar": 3,
    "summer sommer été zomer": 6,
    "autumn fall herbst automne herfst najaar": 9,
    "winter hiver": 12,
}
SEASONS = {name: first for names, first in _SEASON_NAMES.items() for name in names.split()}
SEASON = "(?P<season>" + "|".join(SEASONS) + ")"

BEFORE = r"(?:(?:before|prior to|pre|vor|avant|voor|<)\s*-?\s*|bef\.?\s+|prima del\s+|antes de\s+)"
AFTER = r"(?:(?:after|post|nach|après|na|>)\s*-?\s*|aft\.?\s+)"
SINCE = r"(?:since|from|seit|ab|depuis|sinds|vanaf)\s+"
ABOUT = (
    r"(?:(?:about|abt\.?|approx\.?|around|circa|ca\.?|c\.?|um|etwa|ungefähr|vers|environ|omstreeks|rond)"
    r"(?![^\W\d_])|~)\s*"
)
EARLY = r"(?:early|mid|late|anfang|mitte|ende|début|fin|begin|eind)[ -]"

#: No keeper's record is older than the radio tube.
EARLIEST = date(1890, 1, 1)


def full_year(text: str, today: date) -> int:
    """The year that two or four figures mean: two figures never lie in the future (common practice, no source)."""
    number = int(text)
    if len(text) != 2:
        return number
    century = today.year // 100 * 100
    return century + number if century + number <= today.year else century - 100 + number


def is_year_like(text: str) -> bool:
    return re.fullmatch("1[89][0-9]{2}|20[0-9]{2}", text) is not None
