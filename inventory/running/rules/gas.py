"""What was written of a gas test, and whether it is above its limit.

A bare figure, or one in divisions, is how far the pointer moved; with its unit it is a grid current. The limits are
rows of the table: ``test.gas_div`` (TM 11-6625-316-12: the pointer must stay within 3 divisions) and ``test.gas_ua``.
"""

import re
from dataclasses import dataclass

from inventory.running.rules.words import GAS_DIV, GAS_UA
from tubes.rules.limits import Limits

CLEAR, OVER, TOLD = "clear", "over", "told"

_FIGURE = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)?\s*([½¼¾])|(\d+(?:[.,]\d+)?|[.,]\d+)")
_PARTS = {"½": 0.5, "¼": 0.25, "¾": 0.75, None: 0.0}
_ASIDE = re.compile(r"\(.*?\)|(?:\bat\b|@).*$", re.IGNORECASE)  # conditions of the test are no reading
_BETWEEN = re.compile(r"\s*(?:-|–|to|\.\.+)\s*", re.IGNORECASE)
_BEYOND = re.compile(r"(?:>=?|≥|\b(?:over|above|more than|beyond))\s*$", re.IGNORECASE)
_MICRO = re.compile(r"(?:micro-?\s?amp(?:ere)?s?|[uµμ]\s?a|mca)\b", re.IGNORECASE)
_MILLI = re.compile(r"(?:milli-?\s?amp(?:ere)?s?|ma)\b", re.IGNORECASE)
_OTHER = re.compile(  # a unit of something else
    r"%|(?:[mnukµμ]|milli|kilo|mega?)?(?:volts?|ohms?|amp(?:ere)?s?|v|a|w)\b", re.IGNORECASE
)
_ABSENT = re.compile(
    r"(?:none|no|nil|not any|nothing|zero|ok|okay|good|pass(?:ed)?|clean|clear|hard|steady|negative|normal|within)"
    r"(?: (?:gas|shorts?|leaks?|leakage|found|seen|(?:the )?limits?|movement|change))*",
    re.IGNORECASE,
)
_PRESENT = re.compile(
    r"\b(?:gass?y|gas|yes|high|heavy|strong|much|bad|soft|found|positive|fail(?:s|ed)?|"
    r"off (?:the )?scale|pinned|over)\b",
    re.IGNORECASE,
)
_DOUBTED = re.compile(r"\b(?:no|not|never|without|slight|slightly|some|trace|little|faint)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Gas:
    """``standing``: clear, over the limit, or only told (no figure that a limit is known for). ``text``: one line."""

    standing: str
    text: str


def judge_gas(written: str, limits: Limits) -> Gas | None:
    """What a gas test says as it was written; None where nothing was."""
    words = " ".join(written.split()).rstrip(".")
    if not words:
        return None
    if _ABSENT.fullmatch(words):
        return Gas(CLEAR, f"Gas as read: {words}.")
    bare = _ASIDE.sub("", words)
    found = list(_FIGURE.finditer(bare))
    if not found:
        return _without_figure(words)
    if len(found) > 2 or (len(found) == 2 and not _BETWEEN.fullmatch(bare[found[0].end() : found[1].start()])):
        return Gas(TOLD, f"Gas as read: {words}; more than one figure, so it is not judged.")
    beyond = bool(_BEYOND.search(bare[: found[0].start()])) or bare[found[-1].end() :].startswith("+")
    figure, unit = max(map(_number, found)), bare[found[-1].end() :].strip(" +.,;:")
    return _against(words, figure, unit, beyond, limits)


def leaks(written: str) -> bool:
    """Whether words about shorts or leakage tell of some: anything but "none" and its like."""
    words = " ".join(written.split()).rstrip(".")
    return bool(words) and not _ABSENT.fullmatch(words)


def _without_figure(words: str) -> Gas:
    if _PRESENT.search(words) and not _DOUBTED.search(words):
        return Gas(OVER, f"Gas as read: {words}. Without a figure it counts as above the limit: read it again.")
    return Gas(TOLD, f"Gas as read: {words}; no figure, so it is not judged.")


def _against(words: str, figure: float, unit: str, beyond: bool, limits: Limits) -> Gas:
    if _MICRO.match(unit) or _MILLI.match(unit):
        key, figure = GAS_UA, figure * (1000 if _MILLI.match(unit) else 1)
    elif _OTHER.match(unit):
        return Gas(TOLD, f"Gas as read: {words}; no limit is known in that unit, so it is not judged.")
    else:
        key = GAS_DIV
    if key not in limits:
        return Gas(TOLD, f"Gas as read: {words}; its limit {key} is not in the tables (manage.py load_reference).")
    limit = limits.row(key)
    whose = f"the limit of {limit.value:g} {limit.unit} ({limit.source})"
    if figure > limit.value or (beyond and figure == limit.value):
        return Gas(OVER, f"Gas as read: {words}, above {whose}.")
    return Gas(CLEAR, f"Gas as read: {words}, within {whose}.")


def _number(found: re.Match[str]) -> float:
    whole, part, plain = found.groups()
    return float((whole or plain or "0").replace(",", ".")) + _PARTS[part]
