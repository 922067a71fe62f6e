"""Words of dates in English, German, French, Dutch, Italian and Spanish, and the year that two figures mean."""

import re
from datetime import date

_MONTH_NAMES = (
    "jan january januar jänner janv janvier januari jän gennaio gen enero ene",
    "feb february februar févr février fév februari febbraio febrero",
    "mar march märz mrz mär mars maart mrt marzo",
    "apr april avr avril aprile abril abr",
    "may mai mei maggio mag mayo",
    "jun june juni juin giugno giu junio",
    "jul july juli juil juillet luglio lug julio",
    "aug august août augustus agosto ago",
    "sep sept september septembre settembre set septiembre setiembre",
    "oct october okt oktober octobre ottobre ott octubre",
    "nov november novembre noviembre",
    "dec december dez dezember déc décembre dicembre dic diciembre",
)
MONTHS = {name: number for number, names in enumerate(_MONTH_NAMES, start=1) for name in names.split()}
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
ABOUT = r"(?:about|abt\.?|approx\.?|around|circa|ca\.?|c\.?|um|etwa|ungefähr|vers|environ|omstreeks|rond|~)\s*"
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
