"""The year in which a thing was made, where its words tell it; a figure with a unit behind it is none.

A year is one by its place: behind a word of making or of a date, behind the name of the thing, alone between brackets
or behind a comma. What a cell says of a test, a purchase or a repair is no date of making. Where the words leave doubt
there is no year: an unknown date is the safe answer for those who ask. Common practice, no source.
"""

import re

from inventory.holdings.rules.date_words import MONTHS

YEAR = (
    r"(?<!\w)(?<![0-9]{3}[./-])(?<![0-9],)(?<![$€£])(?P<year>19[2-9][0-9]|20[0-4][0-9])"
    r"(?:-(?:0[1-9]|1[0-2])(?:-[0-3][0-9])?)?(?![\w/-]|[.,][0-9])"
)
#: What stands behind a figure that is a rating, a value or a count, or a bound of a range.
_UNIT = (
    r"[\s.-]*(?:[kmu]?v(?:olts?|[ad]c|rms|w)?\w{0,4}|dcw?v\w*|wv\w*|[mk]?w(?:atts?)?|[mu]{0,2}fd?s?|[pnuµμ]f|mmfd|jars?|"
    r"cm|mm|in(?:ch(?:es)?)?|[kmg]?(?:hz|c|cs|cps)|cycles?|k|m|meg\w*|[km]?ohms?|[kmg]?[ωΩ]|[mu]?a(?:mps?|mperes?)?|[mu]?h|"
    r"pcs?|pieces?|off|kg|g|lbs?|hrs?|hours?|[°%\"x×+]|(?:ac|dc|peak|test|working)\b)(?![a-z])"
)
_RATED = re.compile(_UNIT, re.IGNORECASE)
_FIGURE = re.compile(rf"{YEAR}(?!{_UNIT})", re.IGNORECASE)
_MONTH = "(?:" + "|".join(sorted(map(re.escape, MONTHS), key=len, reverse=True)) + r")\.?,?\s+|(?:[0-9]{1,2}[-/.]){1,2}"
_BY_WORD = re.compile(
    r"(?<!\w)(?:made|built|manufactured|mfg|dated?(?:[ -]code)?|stamped|year(?: made)?|hergestellt|gebaut|baujahr|"
    r"bj|fabriqué\w*|année|gemaakt|bouwjaar|datiert|datum)[\s:.]*(?:(?:in|im|en|code)\s+)?"
    rf"(?:(?:{_MONTH}))?$",
    re.IGNORECASE,
)
_ALONE = re.compile(rf"[(\[,]\s*(?:{_MONTH})?$", re.IGNORECASE)
_OPEN = re.compile(r"\s*(?:$|[)\],;.])")
_DEED = re.compile(
    r"(?<!\w)(?:re)?(?:tested|checked|measured|bought|got|acquired|received|purchased|sold|replaced|removed|repaired|"
    r"restored|formed|inspected|examined|found|stored|overhauled|serviced|before|until|till|pre|not|about|circa|ca|"
    r"geprüft|gekauft|ersetzt|vor|testé|acheté|remplacé|avant|getest|gekocht|vervangen|voor)(?!\w)",
    re.IGNORECASE,
)


def has_unit(text: str, at: int) -> bool:
    """Whether a figure that ends there has a unit behind it."""
    return _RATED.match(text, at) is not None


def _figures_like_years(text: str) -> set[int]:
    """Every figure of a text that can be a year: no unit behind it, and no part of a longer number."""
    return {int(match["year"]) for match in _FIGURE.finditer(text)}


def year_of_making(text: str, things: re.Pattern[str]) -> int | None:
    """The year of making that a text tells, or None; ``things``: the names of the thing, as a pattern.

    None as well where a second figure can be a year.
    """
    if len(_figures_like_years(text)) != 1:
        return None
    for cell in re.split(r"[|;\n]", text):
        if (match := _FIGURE.search(cell)) and _in_place(cell, match, things):
            return int(match["year"])
    return None


def _in_place(cell: str, match: re.Match[str], things: re.Pattern[str]) -> bool:
    before = cell[: match.start()]
    if _BY_WORD.search(before):
        return not _DEED.search(before)
    if _DEED.search(cell):
        return False
    if int(match["year"]) % 100 == 0 or not _OPEN.match(cell, match.end()):  # 2000 alone is as well a voltage
        return False
    return bool(
        _ALONE.search(before) or re.search(rf"(?:{things.pattern})\s*(?:of |from )?(?:{_MONTH})?$", before, re.I)
    )
