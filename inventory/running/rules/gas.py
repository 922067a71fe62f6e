"""What was written of a gas test, and whether it is above its limit.

A bare figure, or one in divisions, is how far the pointer moved; with its unit it is a grid current. The limits are
rows of the table: ``test.gas_div`` (TM 11-6625-316-12: the pointer must stay within 3 divisions) and ``test.gas_ua``.
What is told and cannot be judged is never taken for none; of several figures the highest counts.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from inventory.running.rules.words import GAS_DIV, GAS_UA
from tubes.rules.limits import Limits

CLEAR, OVER, TOLD, ASIDE = "clear", "over", "told", "aside"
_WORST_FIRST = (OVER, TOLD, CLEAR)

_FIGURE = re.compile(r"(\d+(?:[.,]\d+)?|[.,]\d+)?\s*([½¼¾])|(\d+(?:[.,]\d+)?|[.,]\d+)")
_PARTS = {"½": 0.5, "¼": 0.25, "¾": 0.75, None: 0.0}
_AT = re.compile(r"(?:\bat (?!all\b)|@).*$", re.IGNORECASE)  # conditions of the test are no reading
_IN_BRACKETS = re.compile(r"\(.*?\)")  # nor are asides
_BEYOND = re.compile(r"(?:>=?|≥|\b(?:over|above|more than|beyond))\s*$", re.IGNORECASE)
_BETWEEN = re.compile(r"(?:[-–/,;+&]|to|or|and|then|later|\.\.+|\s)*(?:>=?|≥|over|above)?", re.IGNORECASE)
_CURRENT = re.compile(r"(?P<part>pico|nano|micro|milli|mc|[pnuµμm])?-?\s?(?:amp(?:ere)?s?|a)\b", re.IGNORECASE)
_MICROS = {"p": 1e-6, "n": 1e-3, "u": 1.0, "µ": 1.0, "μ": 1.0, "mc": 1.0, "m": 1e3, "": 1e6}  # microamperes in one
_CONDITION = re.compile(  # of the test, beside a figure that is one of gas
    r"(?:[km]?v(?:olts?)?|[kmg]?(?:ohms?|Ω)|meg(?:ohms?)?|min(?:ute)?s?|h(?:ours?)?|s(?:ec(?:ond)?s?)?)\b",
    re.IGNORECASE,
)
_OTHER = re.compile(  # a unit of something else
    r"%|per ?cent|meg\b|(?:[mnukµμ]|milli|kilo|mega?)?(?:volts?|ohms?|v|w)\b", re.IGNORECASE
)
_ABSENT = re.compile(
    r"(?:(?:gas|shorts?|leakage)\s*[:=]?\s+)?(?:none|no|nil|not any|nothing|zero|ok|okay|good|fine|pass(?:ed)?|clean|"
    r"clear|hard|steady|negative|normal|within|free|absent|not (?:gassy|found|seen|detected))"
    r"(?: (?:gas|shorts?|leaks?|leakage|found|seen|detected|noticed|visible|at all|trace|glow|haze|reading|deflection|"
    r"(?:the )?limits?|movement|change|current|heater|cathode|grid|plate|to|[a-z]{1,3}-[a-z]{1,3}))*",
    re.IGNORECASE,
)
_NOT_DONE = re.compile(
    r"[-–—?]+|n\.?/?a\.?|not (?:tested|done|read|looked at|taken|known)|unknown|untested", re.IGNORECASE
)
_HOW = re.compile(r"(?:(?:when |also )?(?:tapped|tapping|hot|cold|warm)|and|\s)+", re.IGNORECASE)
_PRESENT = re.compile(
    r"\b(?:gass?y|gas|yes|high|heavy|strong|much|bad|soft|found|positive|fail(?:s|ed)?|haz[ey]|ioni[sz]\w*|"
    r"off (?:the )?scale|pinned|over)\b",
    re.IGNORECASE,
)
_DOUBTED = re.compile(r"\b(?:no|not|never|without|slight|slightly|some|trace|little|faint)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Gas:
    """``standing``: clear, over the limit, told (no figure that a limit is known for), or aside: it says nothing here.

    ``text``: one line.
    """

    standing: str
    text: str


def judge_gas(written: str, limits: Limits, *, filled: str = "", in_current: bool = False) -> Gas | None:
    """What a gas test says as it was written; None where nothing was.

    ``filled``: with what the tube is filled by nature; ``in_current``: a figure without a unit is microamperes.
    """
    words = " ".join(written.split()).rstrip(".")
    if not words:
        return None
    if filled:
        return Gas(ASIDE, f"Gas as read: {words}; its type is filled with {filled}, so that does not count.")
    if _NOT_DONE.fullmatch(words):
        return Gas(ASIDE, f"Gas as read: {words}; nothing was read.")
    if _absent(_AT.sub("", words).strip()):
        return Gas(CLEAR, f"Gas as read: {words}.")
    figures = _figures(_bare(words), in_current)
    if not figures:
        return _without_figure(words)
    judged = [_against(words, one, limits) for one in figures]
    worst = min(judged, key=lambda gas: _WORST_FIRST.index(gas.standing))
    if len(figures) > 1:
        return Gas(worst.standing, f"{worst.text} Of several figures the highest counts.")
    if in_current and not figures[0].said:
        return Gas(worst.standing, f"{worst.text} Without a unit it counts as microamperes, as read there otherwise.")
    return worst


def says_current(written: str) -> bool | None:
    """Whether a gas test was written as a grid current (True) or in divisions (False); None: with no unit."""
    said = [_is_current(one.unit) for one in _figures(_bare(written), False) if one.said]
    return any(said) if said else None


def reads_current(written: Iterable[str]) -> bool:
    """Whether an instrument on which gas was so written shows a current: it is written so, and never in divisions."""
    said = {says_current(one) for one in written}
    return True in said and False not in said


def leaks(written: str) -> bool:
    """Whether words about shorts or leakage tell of some: anything but "none" and its like."""
    words = " ".join(written.split()).rstrip(".")
    return bool(words) and not _absent(words)


def _bare(words: str) -> str:
    return _AT.sub("", _IN_BRACKETS.sub("", words))


def _absent(words: str) -> bool:
    """Whether each part of the words says that there is none, the ways of looking apart ("none, tapped")."""
    first, *others = re.split(r"\s*[,;]\s*", words)
    return bool(_ABSENT.fullmatch(first)) and all(_ABSENT.fullmatch(one) or _HOW.fullmatch(one) for one in others)


def _without_figure(words: str) -> Gas:
    if _PRESENT.search(words) and not _DOUBTED.search(words):
        return Gas(OVER, f"Gas as read: {words}. Without a figure it counts as above the limit: read it again.")
    return Gas(TOLD, f"Gas as read: {words}; no figure, so it cannot be judged: read it again.")


@dataclass(frozen=True, slots=True)
class _Read:
    """A figure with its unit in words; ``said``: the unit is one; ``beyond``: more than the figure."""

    figure: float
    unit: str
    said: bool
    beyond: bool


def _figures(words: str, in_current: bool) -> list[_Read]:
    """The figures of gas; one without a unit has that of the next one ("2 or 4 uA"), else that of the instrument."""
    found = list(_FIGURE.finditer(words))
    ends = [*(one.start() for one in found[1:]), len(words)][: len(found)]
    read: list[_Read] = []
    unit = ""
    for one, end in reversed(list(zip(found, ends, strict=True))):
        after = words[one.end() : end]
        bare = after.strip(" +.,;:")
        unit = unit if read and _BETWEEN.fullmatch(after) else bare
        beyond = bool(_BEYOND.search(words[: one.start()])) or after.startswith("+")
        said = bool(_CURRENT.match(unit) or _OTHER.match(unit) or re.match(r"div", unit, re.IGNORECASE))
        read.append(_Read(_number(one), "uA" if in_current and not unit else unit, said, beyond))
    gas = [one for one in read if not _CONDITION.match(one.unit)]
    return gas if gas and len(read) > 1 else read


def _is_current(unit: str) -> bool:
    return bool(_CURRENT.match(unit))


def _against(words: str, read: _Read, limits: Limits) -> Gas:
    figure, unit = read.figure, read.unit
    if found := _CURRENT.match(unit):
        part = (found["part"] or "").casefold()
        key, figure = GAS_UA, figure * _MICROS[{"micro": "u", "milli": "m", "nano": "n", "pico": "p"}.get(part, part)]
    elif _OTHER.match(unit):
        return Gas(
            TOLD, f"Gas as read: {words}; no limit is known in that unit, so it cannot be judged: read it again."
        )
    else:
        key = GAS_DIV
    if key not in limits:
        return Gas(TOLD, f"Gas as read: {words}; its limit {key} is not in the tables (manage.py load_reference).")
    limit = limits.row(key)
    whose = f"the limit of {limit.value:g} {limit.unit} ({limit.source_told})"
    if figure > limit.value or (read.beyond and figure == limit.value):
        return Gas(OVER, f"Gas as read: {words}, above {whose}.")
    return Gas(CLEAR, f"Gas as read: {words}, within {whose}.")


def _number(found: re.Match[str]) -> float:
    whole, part, plain = found.groups()
    return float((whole or plain or "0").replace(",", ".")) + _PARTS[part]
