"""Military type designations: resistors, mica, ceramic and glass capacitors; of some capacitors the style alone.

A designation is style, characteristic (letters), value, tolerance, and what newer ones bear behind. A new one is a row
of ``FAMILIES`` and one of ``marking_styles.csv``.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from inventory.holdings.rules.markings.answers import Answer, Form, MarkingFault, Reading, preferred_words
from inventory.holdings.rules.markings.letters import counted, tolerance_of
from inventory.holdings.rules.markings.tables import MEMORY, MarkingTables, Style

DESIGNATION = "type-designation"


@dataclass(frozen=True)
class Family:
    """A form of designation. ``letters``: its characteristic, as a pattern; ``figures``: how many a value has before
    its number of zeros; ``behind``: what may follow the tolerance; ``bare``: whether a tolerance may be missing;
    ``low``: whether a value may begin with a 0, as 050 for 5 pF.
    """

    key: str
    letters: str
    example: str
    figures: int = 2
    behind: str = ""
    bare: bool = False
    low: bool = False

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """Style, characteristic, value, tolerance, what stands behind."""
        pointed = "|".join(rf"\d{{{at}}}R\d{{{self.figures - at}}}" for at in range(self.figures + 1))
        value = rf"\d{{{self.figures + 1}}}|{pointed}"
        tolerance = "[A-Z]?" if self.bare else "[A-Z]"
        return re.compile(rf"({self.key}\d\d)({self.letters})({value})({tolerance})({self.behind})", re.ASCII)


RATE = "[LMPRS]?"
FAMILIES = (
    Family("RC", "[A-Z]{2}", "RC20BF103K"),
    Family("RCR", "[A-Z]", "RCR20G102JS", behind=RATE),
    Family("RN", "[A-Z]", "RN65C1002F", 3),
    *(Family(key, "[A-Z]", f"{key}55H1002FS", 3, RATE) for key in ("RNC", "RNR", "RNN")),
    Family("RL", "[A-Z]", "RL07S102J"),
    Family("RLR", "[A-Z]", "RLR07C1001GR", 3, RATE),
    Family("RW", "[A-Z]", "RW67V101", bare=True),
    Family("RB", "[A-Z]{1,2}", "RB52CE10001B", 4),
    Family("CM", "[A-Z]", "CM20B103K"),
    Family("CM", "[A-Z]{2}", "CM15FD101J03", behind=r"(?:[MNOP0]\d)?", low=True),
    Family("CK", "[A-Z]{2}", "CK05BX104K"),
    Family("CKR", "[A-Z]{2}", "CKR05BX104KS", behind=RATE),
    Family("CC", "[A-Z]{2}", "CC20CH100J", low=True),
    Family("CY", "[A-Z]", "CY10C101J"),
    Family("CB", "[A-Z]{1,2}", "CB11PD101K"),
)
_STYLE_ALONE = re.compile(r"(C[ELNPV])(\d\d)?[A-Z0-9/.]*")
_FIRST = ("RC20BF103K", "RN65C1002F", "CM20B103K")


def read_designation(text: str, tables: MarkingTables) -> Answer:
    """A designation in full, however spaced. Of some capacitors its style is read and no more."""
    code = re.sub(r"[\s\-–—_]+", "", text.upper())
    for family in FAMILIES:
        if match := family.pattern.fullmatch(code):
            try:
                return Answer(tuple(_read(family, match, tables)), near=True)
            except MarkingFault as fault:
                return Answer(refusal=f"{text.strip()!r}: {fault}", near=True)
    if alike := [family for family in FAMILIES if re.match(rf"{family.key}\d", code)]:
        zero = " There is a letter O where a figure is expected." if re.search(r"\dO|O\d", code) else ""
        forms = " or ".join(family.example for family in alike)
        return Answer(
            refusal=f"{text.strip()!r} is no designation of the form {forms} (style, characteristic, value, tolerance);"
            f" other forms are not read.{zero}",
            near=True,
        )
    if (match := _STYLE_ALONE.fullmatch(code)) and (match[2] or len(code) == 2):
        return Answer((_style_alone(match, tables),), (_STYLE_WARNING,), near=True)
    return Answer(refusal=f"{text.strip()!r} is no type designation known here; expected such as {', '.join(_FIRST)}")


_STYLE_WARNING = "Of such capacitors the style alone is read; value, voltage and tolerance stand on it in other codes."


def _read(family: Family, match: re.Match[str], tables: MarkingTables) -> Iterator[Reading]:
    style, characteristic, figures, letter, behind = match.groups()
    told = tables.styles[family.key]
    rated = tables.styles.get(style + characteristic) or tables.styles.get(style)
    if figures[0] == "0" and not family.low:
        raise MarkingFault("the first figure of the value cannot be 0")
    value = counted(figures)
    if value == 0:
        raise MarkingFault("a value of 0 is none")
    per_cent, remarks, source = _tolerance(letter, value, told.unit, tables)
    notes = [f"{told.part[0].upper()}{told.part[1:]}, style {style}, characteristic {characteristic}"]
    rating = rated.rating if rated else ""
    if told.unit == "pF":
        rating = _volts(family, characteristic, tables)
        notes += _of_capacitor(family, characteristic, tables)
        notes += [] if rating else ["The designation says no working voltage"]
    elif not rating:
        notes.append(f"What {style} may dissipate is not in the tables here")
    elif rated and rated.note:
        notes.append(f"{rating} {rated.note}")
    if family.behind == RATE and behind:
        notes.append(f"Failure rate {tables.letter('failure-rate', behind)[0].said} % in 1000 hours")
    point = figures.index("R") if "R" in figures else None
    yield Reading(
        DESIGNATION, value, told.unit, told.standard,
        Form(
            DESIGNATION, family.figures, 0 if point is None else family.figures - point,
            letter="" if point is None else "R", tolerance=letter, style=style, characteristic=characteristic,
            failure_rate=behind,
        ),
        per_cent, rating,
        (*notes, *remarks, *preferred_words(value),
         *tables.cited(told.source, source, *((rated.source,) if rated and rating else ()))),
    )  # fmt: skip


def _tolerance(
    letter: str, value: Decimal, unit: str, tables: MarkingTables
) -> tuple[Decimal | None, tuple[str, ...], str]:
    """Per cent, remarks and source of a tolerance letter, which on a capacitor below 10 pF is in pF."""
    if not letter:
        return None, ("No tolerance is marked",), MEMORY
    small = tables.letter("tolerance-pf", letter) if unit == "pF" and value < 10 else ()
    if small:
        per_cent = round(small[0].number / value * 100, 6).normalize()
        return per_cent, (f"Tolerance {small[0].said} pF either way",), small[0].source
    return tolerance_of(letter, tables)


def _volts(family: Family, characteristic: str, tables: MarkingTables) -> str:
    """The working voltage that the second letter of a newer mica capacitor says; empty where it says none."""
    if family.key != "CM" or len(characteristic) < 2:
        return ""
    meaning = tables.letter("mica-volts", characteristic[1])
    return f"{meaning[0].said} V" if meaning else ""


def _of_capacitor(family: Family, characteristic: str, tables: MarkingTables) -> list[str]:
    """What the characteristic of a ceramic capacitor says, as far as it is known here."""
    meaning = tables.letter("ppm", characteristic[0]) if family.key == "CC" else ()
    return [f"Temperature coefficient {meaning[0].said} ppm/K"] if meaning else []


def _style_alone(match: re.Match[str], tables: MarkingTables) -> Reading:
    told: Style = tables.styles[match[1]]
    style = match[1] + (match[2] or "")
    value: Decimal | None = None
    return Reading(
        DESIGNATION, value, told.unit, told.standard, Form(match[1], style=style), None, "",
        (f"{told.part[0].upper()}{told.part[1:]}, style {style}", told.note.capitalize(), *tables.cited(MEMORY)),
    )  # fmt: skip
