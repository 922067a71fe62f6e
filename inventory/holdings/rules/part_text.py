"""A part in words: 0.01 mfd 400 V bypass; 270 K 1 W 10 %; crystal 3885 kc. What was read, and what was not.

Figures go by their units (``part_kinds``, ``tubes.rules.units``); kind, construction, class and place by the words of
their tables. A figure without a unit, or two of a sort, are refused: nothing is guessed.
"""

import math
import re
from dataclasses import dataclass, replace

from inventory.holdings.rules.constructions import construction_in
from inventory.holdings.rules.crystal_words import with_frequency
from inventory.holdings.rules.part_kinds import (
    KINDS,
    PartFigures,
    kind_by_value,
    read_value,
    word_pattern,
    words_of,
)
from inventory.holdings.rules.part_places import ANYWHERE, PartPlace, place_in
from inventory.holdings.rules.part_sections import is_fraction, why_no_one_value
from inventory.holdings.rules.part_values import FIGURE, POINTED
from tubes.rules.units import UnitFault, with_point

LONGEST = 200
_AMOUNT = re.compile(
    rf"(?<![\w.,])(?<!(?:FT|ft|Ft|CR|cr|HC|hc)-)(?:±|\+/-|\+-)?\s*(?:(?P<pointed>{POINTED})(?!\w)|(?P<figure>{FIGURE})"
    r"\s*-?\s*(?P<unit>(?:(?:[Kk]|M|[Mm]eg|MEG)\s)?[Oo](?:hms?|HMS?)(?!\w)|[^\W\d_]+(?:/s)?(?!\w)|%)"
    r"(?P<current>(?<=[VvTtSs])\s*(?:[AaDd]\.?[Cc]\b\.?|rms\b|RMS\b))?)"
)
_NUMBER = re.compile(r"(?<![\w-])\.?\d[\d.,/]*(?!\w)")
_FRACTIONS = str.maketrans({"½": "1/2", "¼": "1/4", "¾": "3/4"})
_CLASS = re.compile(
    r"(?<!\w)(?:class\s+)?(?P<told>[XY][1-4](?:/?[XY][1-4])?)(?!\w)|(?<!\w)class\s+(?P<any>[XY])(?!\w)", re.I
)
_UNITS = {
    "percent": ("%", "pct", "percent"),
    "volts": ("v", "volt", "volts", "wv", "wvdc", "vdc", "vdcw", "dcwv", "kv"),
    "ac": ("vac", "acv", "vrms"),
    "watts": ("w", "watt", "watts", "mw", "kw"),
    "amps": ("a", "amp", "amps", "ampere", "amperes", "ma"),
}  # fmt: skip
_SORT = {unit: sort for sort, units in _UNITS.items() for unit in units}
_SCALE = {"kv": 1000.0, "mw": 0.001, "kw": 1000.0, "ma": 0.001}
_TOLD = {"percent": "tolerances", "volts": "voltages", "watts": "powers", "amps": "currents", "value": "values"}
_FILLING = frozenset(
    "a an the of for in at to with and or rated working part parts one pc pcs each more least minimum min above over"
    " than dc".split()
)
_WHOLE_VOLTAGE = ("volts", "ac")


class PartTextFault(ValueError):
    """A text that names no part that could be looked for; its words say what was found and what is expected."""


@dataclass(frozen=True, slots=True)
class PartText:
    """What a text says of a part. ``figures`` as the rules take them; ``place`` the one it names, or anywhere.

    ``alternating``: the voltage was given as one of alternating current; ``left``: words that nothing was read from;
    ``taken``: what was taken for granted, in sentences.
    """

    figures: PartFigures
    place: PartPlace = ANYWHERE
    alternating: bool = False
    left: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()


def read_part(text: str) -> PartText:
    """Read a part in words. Raises PartTextFault."""
    if len(text) > LONGEST:
        raise PartTextFault(f"{len(text)} letters; say what is wanted in {LONGEST} at most")
    text, taken = with_frequency(" ".join(text.translate(_FRACTIONS).split()))
    named, bare = _named(text)
    if named and not KINDS[named].unit and not (values := _values(text)):
        return _in_words(named, bare)
    if named and KINDS[named].impedance and text.lower().startswith(named) and _are_ohms(values):
        return _in_words(named, bare)  # a headset of 2000 ohm is no resistor
    if named in ("", "capacitor") and (why := why_no_one_value(text)):
        raise PartTextFault(why)
    found, said, rest = _amounts(text)
    if number := _NUMBER.search(rest):
        raise PartTextFault(_no_unit(number[0]))
    kind, rest = _kind(said, rest)
    value = _value(kind, said, found)
    place, rest = place_in(kind, rest)
    safety, rest = _safety(rest)
    made, rest = construction_in(kind, rest)
    figures = PartFigures(
        kind, value, found.get("percent"), found.get("volts", found.get("ac")), found.get("watts"),
        made.key if made else "", found.get("amps"), safety,
    )  # fmt: skip
    return PartText(figures, place or ANYWHERE, "ac" in found, _words(rest), taken)


def _in_words(kind: str, text: str) -> PartText:
    """A part of a kind that has no value: what it is rated in is read, all else are words that it goes by."""
    found, _, rest = _amounts(text, KINDS[kind].ratings)
    figures = PartFigures(
        kind, volts=found.get("volts", found.get("ac")), watts=found.get("watts"), amps=found.get("amps")
    )
    return PartText(figures, ANYWHERE, "ac" in found, _words(rest))


def _words(text: str) -> tuple[str, ...]:
    words = re.split(r"[\s,;()·]+", text)
    inches = {at for at, word in enumerate(words) if at and word.lower() == "in" and words[at - 1][-1:].isdigit()}
    said = (word for at, word in enumerate(words) if at in inches or word.lower().strip(".:-") not in _FILLING)
    return tuple(word for word in said if re.search(r"\w", word))


def _no_unit(number: str) -> str:
    if re.fullmatch(r"\d{1,3}(,\d{3})+", number):
        plain = number.replace(",", "")
        return f"{number!r} can be {plain} or {number.replace(',', '.', 1)}: write the one that is meant"
    return f"{number!r} has no unit: write 0.01 mfd, 270 K, 400 V, 2 W, 10 %"


def _amounts(text: str, only: tuple[str, ...] | None = None) -> tuple[dict[str, float], str, str]:
    """The figures by what they are of, the value with its unit, and the text without all of them.

    ``only``: of a kind without a value the ratings that are read, of single figures: 0-1 mA are words.
    """
    found: dict[str, float] = {}
    said = ""

    def take(match: re.Match[str]) -> str:
        nonlocal said
        before = text[: match.start()][-2:]
        if only is not None and (
            before[-1:] == "-" or match["pointed"] or not _rates(match, only) or not _is_one(match["figure"])
        ):
            return match[0]
        sort = "value" if match["pointed"] else _sort_of(match)
        value, told = match["pointed"] or f"{match['figure']} {match['unit']}", 0.0
        if sort != "value":
            told = _rating(match, sort)
        elif not _is_unit(value):
            return match[0]
        if before.endswith("-") and not before[:-1].strip():
            raise PartTextFault(f"{'-' + match[0].strip()!r}: expected more than 0")
        taken = set(found) | ({"value"} if said else set())
        if sort in taken or (sort in _WHOLE_VOLTAGE and taken & set(_WHOLE_VOLTAGE)):
            raise PartTextFault(f"two {_TOLD.get(sort, 'voltages')} in one text: ask for one part at a time")
        if sort == "value":
            said = value
        else:
            found[sort] = told
        return " "

    rest = _AMOUNT.sub(take, text)
    return found, said, rest


def _sort_of(match: re.Match[str]) -> str:
    """What a figure is of by its unit: percent, volts, ac, watts, amps; any other unit is that of a value."""
    sort = _SORT.get(match["unit"].lower(), "value")
    alternating = (match["current"] or "").strip(" .").lower()[:1] in ("a", "r")
    return "ac" if sort == "volts" and alternating else sort


def _rates(match: re.Match[str], only: tuple[str, ...]) -> bool:
    return {"ac": "volts"}.get(sort := _sort_of(match), sort) in only


def _is_one(figure: str) -> bool:
    """Whether figures are one figure: 230/115 are two."""
    above, stroke, below = figure.partition("/")
    return not stroke or not int(below) or is_fraction(int(above), int(below))


def _rating(match: re.Match[str], sort: str) -> float:
    if not _is_one(match["figure"]):
        raise PartTextFault(f"{match[0].strip()!r} are two figures, and no fraction: write the one that it works at")
    told = _figure(match["figure"]) * _SCALE.get(match["unit"].lower(), 1.0)
    if not told > 0 and sort != "percent":
        raise PartTextFault(f"{match[0].strip()!r}: expected more than 0")
    if sort == "percent" and told > 100:
        raise PartTextFault(f"{match[0].strip()!r} is no tolerance; expected 0 to 100 %")
    return told


def _figure(text: str) -> float:
    top, _, bottom = text.partition("/")
    try:
        return float(with_point(top)) / float(bottom or 1)
    except (ValueError, ZeroDivisionError) as fault:
        raise PartTextFault(f"{text!r} is no figure; write the decimal point as a point") from fault


def _is_unit(text: str) -> bool:
    """Whether a figure with what stands behind it is the value of a part. Raises PartTextFault where that is unsure."""
    try:
        kind_by_value(text)
    except UnitFault as fault:
        if "can mean" in str(fault):
            raise PartTextFault(str(fault)) from fault
        return False
    return True


def _named(text: str) -> tuple[str, str]:
    """The kind that a text names, and the text without that word; empty where it names none.

    A name goes before what else the kind is called (a relay has a coil); of two that stand side by side the second is
    the thing (a crystal socket), else the first.
    """
    for names in ([(kind, kind) for kind in KINDS], [(kind, word) for kind in KINDS for word in words_of(kind)[1:]]):
        found = sorted(
            (match.start(), match.end(), kind)
            for kind, word in names if kind != "other"
            for match in re.finditer(word_pattern(word), text, re.IGNORECASE)
        )  # fmt: skip
        if found:
            at = 0
            while at + 1 < len(found) and not text[found[at][1] : found[at + 1][0]].strip():
                at += 1
            begin, end, kind = found[at]
            return kind, f"{text[:begin]} {text[end:]}"
    return "", text


def _values(text: str) -> list[str]:
    """The figures in a text that are values of parts."""
    found = [
        match["pointed"] or f"{match['figure']} {match['unit']}"
        for match in _AMOUNT.finditer(text)
        if match["pointed"] or _sort_of(match) == "value"
    ]
    return [one for one in found if _is_unit(one)]


def sorts_in(text: str) -> frozenset[str]:
    """What the figures with units in a text are of: value, percent, volts, ac, watts, amps."""
    found = set()
    for match in _AMOUNT.finditer(text[:LONGEST]):
        sort = "value" if match["pointed"] else _sort_of(match)
        if sort != "value" or match["pointed"] or _may_be_value(f"{match['figure']} {match['unit']}"):
            found.add(sort)
    return frozenset(found)


def read_rating(text: str) -> dict[str, float]:
    """Ratings in a text by name, such as watts of 0.5 W; empty where none can be read."""
    try:
        return _amounts(text, ("volts", "watts", "amps"))[0] if text else {}
    except PartTextFault:
        return {}


def kind_named(text: str) -> str:
    """The kind of part that a text names; empty where it names none."""
    return _named(text)[0]


def _may_be_value(text: str) -> bool:
    try:
        return _is_unit(text)
    except PartTextFault:
        return True  # a value, though in one of two units


def _are_ohms(values: list[str]) -> bool:
    return all(kind_by_value(one)[0] == "resistor" for one in values)


def _kind(said: str, rest: str) -> tuple[str, str]:
    """The kind by its word or by the unit of the value, and the text without the word."""
    named, bare = _named(rest)
    if said:
        by_value = kind_by_value(said)[0]
        if named and KINDS[named].unit and named != by_value and KINDS[named].unit != KINDS[by_value].unit:
            raise PartTextFault(f"{said} is the value of a {by_value}, and the text says {named}")
        return (named, bare) if named and KINDS[named].unit else (by_value, rest)
    if not named:
        raise PartTextFault("what kind of part? Give a value with its unit, such as 0.01 mfd, or a word such as relay")
    return named, bare


def _value(kind: str, said: str, found: dict[str, float]) -> float | None:
    if said:
        try:
            return read_value(kind, said)
        except UnitFault as fault:
            raise PartTextFault(str(fault)) from fault
    return found.pop({"fuse": "amps", "lamp": "volts"}.get(kind, ""), None)


def _safety(text: str) -> tuple[str, str]:
    match = _CLASS.search(text)
    if match is None:
        return "", text
    return (match["told"] or match["any"]).upper(), text[: match.start()] + " " + text[match.end() :]


def peak_of(told: PartText) -> PartText:
    """The same with the peak of an alternating voltage as the voltage: 1.414 times as much (sine)."""
    if not told.alternating or told.figures.volts is None:
        return told
    return replace(told, figures=replace(told.figures, volts=round(told.figures.volts * math.sqrt(2), 1)))
