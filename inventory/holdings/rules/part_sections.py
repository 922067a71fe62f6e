"""Capacitors of several sections in one can: 40/40 mfd, 16-16 mfd, 8 + 8 mfd, 3 x .1 mfd; and what is a fraction.

A proper fraction in lowest terms with 1 or 3 above and a round figure below is a fraction (1/2 mfd, 3/4 W), any other
figures that a stroke parts are two values. Of farads below a microfarad they can be the range of a trimmer, too.
Common practice, no source.
"""

import re
from math import gcd

from tubes.rules.units import UnitFault, parse_quantity, with_point

_FIGURE = r"(?:\d+(?:[.,]\d+)?|[.,]\d+)"
_UNIT = r"(?:(?:mm|uu|[uµμmp])fd?s?|microfarads?)"
_SEVERAL = re.compile(
    rf"(?<![\w.,/+-])(?:(?P<pieces>\d{{1,2}})\s*[x×*]\s*)?"
    rf"(?P<figures>{_FIGURE}(?:(?:\s*{_UNIT})?\s*[/+&-]\s*{_FIGURE}){{0,5}})\s*(?P<unit>{_UNIT})(?!\w)",
    re.IGNORECASE,
)
_BELOW = frozenset((2, 3, 4, 5, 8, 10, 16, 20, 50, 100))


def is_fraction(above: int, below: int) -> bool:
    """Whether two figures with a stroke between them are a fraction, as 1/2 and 3/4 are, and not two values."""
    return above in (1, 3) and above < below and below in _BELOW and gcd(above, below) == 1


def sections_in(text: str) -> tuple[str, tuple[float, ...]] | None:
    """The figures of a capacitor of several sections as a text has them, and the capacitance of each in pF.

    None where the text names no such one. ``3 x .1 mfd`` can be three pieces as well, which is for the caller to say.
    """
    for match in _SEVERAL.finditer(text):
        figures = re.findall(_FIGURE, re.sub(_UNIT, " ", match["figures"], flags=re.IGNORECASE))
        if "/" in match["figures"] and _is_one_fraction(figures):
            figures = [f"{int(figures[0]) / int(figures[1]):.12g}"]
        figures *= int(match["pieces"] or 1)
        if len(figures) > 1 and (values := _values(figures, match["unit"])):
            return match[0].strip(), values
    return None


def _is_one_fraction(figures: list[str]) -> bool:
    return len(figures) == 2 and all(one.isdigit() for one in figures) and is_fraction(int(figures[0]), int(figures[1]))


def _values(figures: list[str], unit: str) -> tuple[float, ...]:
    unit = "uF" if unit.lower() == "mf" else unit
    try:
        told = tuple(parse_quantity(f"{with_point(one)} {unit}", "pF") for one in figures)
    except UnitFault:
        return ()
    return told if all(one > 0 for one in told) else ()


def why_no_one_value(text: str) -> str:
    """Why a text that names several sections has no one value, and what to write; empty where it names none."""
    found = sections_in(text)
    if found is None:
        return ""
    said, values = found
    if re.match(r"\d+\s*[x×*]", said, re.IGNORECASE):
        return (
            f"{said!r} can be {len(values)} sections in one can or {len(values)} pieces: pieces are the quantity, "
            "sections are written in the words of its kind"
        )
    if min(values) < 1e4:
        return (
            f"{said!r} can be sections in one can or the range of a trimmer, and is no fraction: no one value is read"
        )
    return (
        f"{said!r} is a capacitor of {len(values)} sections in one can: it has no one value; ask for a section by "
        "itself, and write the sections in the words of its kind"
    )
