"""Capacitors in any words, for what they can hold: sections, pieces, thousands, years and weights beside them.

Other than ``part_text`` this refuses nothing that can be reckoned: of two readings the one that holds more counts, as
a charge that is not told can hurt. "16-16 mfd" and "2 x 8 mfd" are all sections or pieces together; a voltage of
alternating current counts with its peak, 1.414 times as much (sine). mF on old parts is microfarad. Common practice, no
source.
"""

import math
import re
from dataclasses import dataclass

_NUMBER = r"(?:\d+[.,]?\d*(?:,\d{3})*|[.,]\d+)"
_PF = r"mmfd?s?|uufd?s?|pfd?s?|micro-?microfarads?"
_UNIT = rf"(?P<pf>{_PF})|(?P<nf>nf)|(?P<uf>mfds?|mf|ufd?s?|micro-?farads?|mikro-?farad)"
CAPACITANCE = re.compile(
    rf"(?<![\w.,])(?P<figures>{_NUMBER}(?:\s*[-+/&x×]\s*{_NUMBER})*)\s*-?\s*(?:{_UNIT})(?![a-z])|"
    rf"(?<![\w.,])(?P<whole>\d+)u(?P<part>\d+)(?!\w)",
    re.IGNORECASE,
)
_VOLTS = re.compile(
    rf"(?<![\w.,])(?P<figure>{_NUMBER})\s*-?\s*(?P<kilo>k?)\s*(?:(?:dc|d\.c\.|ac|a\.c\.|working|wkg\.?|peak)\s*)?"
    r"(?:w\.?)?v(?:olts?|\.?\s?d\.?c\.?w?|\.?\s?a\.?c\.?|\s?rms|w)?(?![a-z])",
    re.IGNORECASE,
)
_ALTERNATING = re.compile(r"a\.?c|rms", re.IGNORECASE)
_NAME = re.compile(
    r"\b(?:capacitors?|condensers?(?! (?:mic|tuner))|caps?(?= )|electrolytics?|kondensator\w*|elkos?|condensateurs?|"
    r"condensator\w*|\w+kondensator\w*)\b",
    re.IGNORECASE,
)
_FRACTION = re.compile(r"(?:1/(?:2|3|4|5|8|10|16|20)|[23]/[34]|3/8)")
_MICRO = str.maketrans("µμ", "uu")
_SAFE_V = 50.0


@dataclass(frozen=True, slots=True)
class InWords:
    """``uf`` of all sections and pieces together, ``volts`` as they are rated; ``said``: the words that say so."""

    uf: float
    volts: float
    said: str


def capacitors_in(text: str) -> list[InWords]:
    """The capacitors with a voltage that words state, in the order in which they do; each takes the voltage behind it,
    else the highest that is told.
    """
    text = " ".join(text.translate(_MICRO).split(" "))
    values, volts = list(CAPACITANCE.finditer(text)), list(_VOLTS.finditer(text))
    highest = max(volts, key=_of_volts, default=None)
    found = []
    for at, value in enumerate(values):
        until = values[at + 1].start() if at + 1 < len(values) else len(text)
        own = next((one for one in volts if value.end() <= one.start() < until), highest)
        uf = _microfarad(value)
        if own is None or not (uf > 0 and _of_volts(own) > 0):
            continue
        peak = ", at its peak" if _ALTERNATING.search(own.group()) else ""
        found.append(InWords(uf, _of_volts(own), f"{value.group().strip()} {own.group().strip()}{peak}"))
    return found


def named_without_value(text: str) -> bool:
    """Whether words name a capacitor and a voltage above 50 V, and no capacitance that could be read beside it."""
    if not _NAME.search(text) or capacitors_in(text):
        return False
    return any(_of_volts(one) > _SAFE_V for one in _VOLTS.finditer(text))


def _of_volts(match: re.Match[str]) -> float:
    volts = max(_read(match["figure"]), 0.0) * (1000 if match["kilo"] else 1)
    return round(volts * math.sqrt(2), 1) if _ALTERNATING.search(match.group()) else volts


def _microfarad(match: re.Match[str]) -> float:
    if match["whole"]:
        return float(f"{match['whole']}.{match['part']}")
    scale = 1e-6 if match["pf"] else 1e-3 if match["nf"] else 1.0
    figures = match["figures"]
    if _FRACTION.fullmatch(figures.replace(" ", "")):
        above, _, below = figures.partition("/")
        return float(above) / float(below) * scale
    pieces = re.split(r"\s*[x×]\s*", figures, flags=re.IGNORECASE)
    return math.prod(_sum(one) for one in pieces) * scale


def _sum(figures: str) -> float:
    sections = re.split(r"\s*[-+/&]\s*", figures)
    years = [one for one in sections if re.fullmatch(r"19[2-9]\d|20[0-4]\d", one)]
    if len(years) < len(sections):
        sections = [one for one in sections if one not in years]
    return sum(map(_read, sections))


def _read(figure: str) -> float:
    """A figure; a comma before three figures parts thousands, unless a nought stands before it."""
    if re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?", figure):
        return float(figure.replace(",", ""))
    whole, mark, part = figure.replace(",", ".").partition(".")
    return float(f"{whole or 0}{mark}{part.replace('.', '')}" or 0)
