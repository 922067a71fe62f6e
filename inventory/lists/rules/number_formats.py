"""What the number format of a spreadsheet's cell says: that a figure is a day or a time, a share of a hundred, a number
with leading zeros, or in which currency it is.

Format codes and their built-in numbers: ECMA-376 part 1, 18.8.30 and 18.8.31. Currencies of language tags: ISO 4217
for the country that the tag (MS-LCID) names.
"""

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from inventory.holdings.rules.prices import currency_of_heading

NUMBER, DAY, CLOCK, SPAN = "number", "day", "clock", "span"

_BUILT_IN = {
    **dict.fromkeys((14, 15, 16, 17, *range(27, 32), 36, *range(50, 55), 57, 58), "yyyy-mm-dd"),
    **dict.fromkeys((18, 19, 20, 21, *range(32, 36), 45, 47, 55, 56), "hh:mm"),
    9: "0%",
    10: "0.00%",
    22: "yyyy-mm-dd hh:mm",
    46: "[h]:mm:ss",
    **dict.fromkeys((5, 6, 7, 8, 42, 44), '"$"#,##0.00'),
}
_TOLD = re.compile(r'"([^"]*)"|\\(.)|[_*].|\[\$([^\]-]*)(?:-([0-9A-Fa-f]{1,8}))?[^\]]*\]|\[([^\]]*)\]', re.DOTALL)
_ZEROS = re.compile("0{2,30}")  # a lone 0 adds none
#: Decimals of a percentage that are kept; more are of the division that made it.
_DECIMALS = 4
_BY_COUNTRY = {
    "$": {0x0409: "USD", 0x1009: "CAD", 0x0C0C: "CAD", 0x0C09: "AUD", 0x1409: "NZD"},
    "kr": {0x041D: "SEK", 0x0414: "NOK", 0x0814: "NOK", 0x0406: "DKK", 0x040F: "ISK"},
    "kr.": {0x0406: "DKK", 0x040F: "ISK"},
    "¥": {0x0411: "JPY", 0x0804: "CNY"},
    "zł": {0x0415: "PLN"},
    "ft": {0x040E: "HUF"},
}
_FIRST_DAYS = {False: datetime(1899, 12, 30), True: datetime(1904, 1, 1)}


@dataclass(frozen=True, slots=True)
class NumberFormat:
    """`shape` number, day, clock or span; `currency` the sign or ISO 4217 code that stands beside the figure, or "".

    `hundreds`: how often the figure is multiplied by a hundred, once for each bare %; `percent`: a % is shown, which
    scales nothing where it is quoted or escaped (18.8.31). `zeros`: shown with at least so many figures.
    """

    shape: str = NUMBER
    currency: str = ""
    hundreds: int = 0
    percent: bool = False
    zeros: int = 0


PLAIN = NumberFormat()
_WRITTEN = re.compile(r"\$|[A-Z]{3}")  # as a price is written with it; whether it is a code is for its reader to say


def number_format(number: int, codes: dict[int, str]) -> NumberFormat:
    """What a format says, by its number; ``codes`` are those that the workbook writes out."""
    return read_format(codes.get(number) or _BUILT_IN.get(number, ""))


def read_format(code: str) -> NumberFormat:
    """What a format code says; its first part, for figures above zero, is looked at."""
    words: list[str] = []
    currency = ""
    span = False

    def take(found: re.Match[str]) -> str:
        nonlocal currency, span
        quoted, escaped, sign, language, bracket = found.groups()
        if sign is not None:
            money = sign.strip()
            tag = int(language, 16) & 0xFFFF if language else 0
            told = _BY_COUNTRY.get(money.casefold(), {}).get(tag)
            written = money if _WRITTEN.fullmatch(money) else currency_of_heading(money)
            currency = currency or told or written or (money if tag else "")  # a sign that is not known is told
        elif bracket is not None:
            span = span or (bool(bracket) and set(bracket.casefold()) <= set("hms"))
            return bracket if span and set(bracket.casefold()) <= set("hms") else ""
        elif quoted or escaped:
            words.append(quoted or escaped)
        return " "

    plain = _TOLD.sub(take, _first_part(code))
    if not currency:
        words.append(" ".join(sign for sign in plain if sign in "$€£¥₽"))
        currency = currency_of_heading(" ".join(words))
    letters = set(plain.casefold().replace("general", "").replace("am/pm", "h").replace("a/p", "h"))
    if span:
        return NumberFormat(SPAN)
    if not letters & set("dmyhs"):
        hundreds = plain.count("%")
        zeros = len(plain.strip()) if _ZEROS.fullmatch(plain.strip()) else 0
        return NumberFormat(NUMBER, currency, hundreds, bool(hundreds) or any("%" in word for word in words), zeros)
    return NumberFormat(DAY if letters & set("dy") or not letters & set("hs") else CLOCK)


def figure_text(figure: float) -> str:
    """A figure as a sheet shows it without a format: 15 figures at most."""
    return str(int(figure)) if figure.is_integer() and abs(figure) < 1e15 else f"{figure:.15g}"


def figure_shown(figure: float, told: NumberFormat) -> str:
    """A figure as its format shows it: 80% for 0.8 with ``0%`` and for 80 with ``0"%"``, 01004 for 1004 with ``00000``.

    Decimals are not cut to those of the format.
    """
    if told.hundreds:
        figure = round(figure * 100.0 ** min(told.hundreds, 9), _DECIMALS)
    text = figure_text(figure)
    if told.zeros and text.isdecimal():
        text = text.zfill(told.zeros)
    return f"{text}%" if told.percent else text


def _first_part(code: str) -> str:
    """A format code up to its first semicolon that stands in no quotation marks."""
    quoted = False
    for at, sign in enumerate(code[:400]):
        if sign == '"':
            quoted = not quoted
        elif sign == ";" and not quoted:
            return code[:at]
    return code[:400]


def moment_of(figure: float, shape: str, *, since_1904: bool = False) -> date | datetime | time | timedelta | None:
    """The day, moment, time of day or span that a figure stands for; None where there is none.

    Day 60 of the system of 1900 is the 29 February 1900 that never was; days before it are one less (ECMA-376).
    """
    if not -3_000_000 < figure < 3_000_000:
        return None
    span = timedelta(milliseconds=round(figure * 86_400_000))
    if shape == SPAN:
        return span
    if shape == CLOCK and 0 <= figure < 1:
        return (datetime.min + span).time()
    if not since_1904 and figure < 60:
        span += timedelta(days=1)
    try:
        moment = _FIRST_DAYS[since_1904] + span
    except OverflowError:
        return None
    return moment.date() if moment.time() == time() else moment
