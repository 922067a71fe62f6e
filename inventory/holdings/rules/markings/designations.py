"""Military type designations: composition and film resistors, mica capacitors; of paper capacitors the style alone."""

import re
from collections.abc import Iterator
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Answer, Form, MarkingFault, Reading, preferred_words
from inventory.holdings.rules.markings.letters import counted, tolerance_of
from inventory.holdings.rules.markings.tables import MEMORY, MarkingTables, Style

DESIGNATION = "type-designation"
#: Style, characteristic, value, tolerance. A value is figures and a number of zeros, with R where there is a point.
_FORMS = {
    "RC": (r"(RC\d\d)([A-Z]{2})(\d{2}\d|\dR\d|R\d\d|\d\dR)([A-Z])", "RC20BF103K"),
    "RN": (r"(RN\d\d)([A-Z])(\d{4}|R\d{3}|\dR\d\d|\d\dR\d|\d{3}R)([A-Z])", "RN65C1002F"),
    "CM": (r"(CM\d\d)([A-Z])(\d{3}|\dR\d|R\d\d|\d\dR)([A-Z])", "CM20B103K"),
}
_STYLE_ALONE = re.compile(r"(C[NP])(\d\d)?[A-Z0-9/.]*")


def read_designation(text: str, tables: MarkingTables) -> Answer:
    """A designation in full, however spaced. Of a paper capacitor its style is read and no more."""
    code = re.sub(r"[\s\-–—_]+", "", text.upper())
    head = code[:2]
    if head in _FORMS:
        pattern, example = _FORMS[head]
        match = re.fullmatch(pattern, code, re.ASCII)
        if not match:
            zero = " There is a letter O where a figure is expected." if re.search(r"\dO|O\d", code) else ""
            return Answer(
                refusal=f"{text.strip()!r} is no designation of the form {example} (style, characteristic, value,"
                f" tolerance); later and shorter forms are not read.{zero}",
                near=bool(re.match(r"[RC][CNM]\d", code)),
            )
        try:
            return Answer(tuple(_toleranced(match, tables)), near=True)
        except MarkingFault as fault:
            return Answer(refusal=f"{text.strip()!r}: {fault}", near=True)
    if (match := _STYLE_ALONE.fullmatch(code)) and (match[2] or len(code) == 2):
        return Answer((_style_alone(match, tables),), (_STYLE_WARNING,), near=True)
    examples = ", ".join(example for _, example in _FORMS.values())
    return Answer(refusal=f"{text.strip()!r} is no type designation known here; expected such as {examples}")


_STYLE_WARNING = "Of paper capacitors the style alone is read; value, voltage and tolerance stand on it in other codes."


def _toleranced(match: re.Match[str], tables: MarkingTables) -> Iterator[Reading]:
    style, characteristic, figures, letter = match.groups()
    told = tables.styles[style[:2]]
    rated = tables.styles.get(style)
    if figures[0] == "0":
        raise MarkingFault("the first figure of the value cannot be 0")
    value = counted(figures)
    if value == 0:
        raise MarkingFault("a value of 0 is none")
    per_cent, remarks, source = tolerance_of(letter, tables)
    notes = [f"{told.part[0].upper()}{told.part[1:]}, style {style}, characteristic {characteristic}"]
    if told.unit == "pF":
        notes.append("The designation says no working voltage")
    elif rated is None:
        notes.append(f"What {style} may dissipate is not in the tables here")
    point = figures.index("R") if "R" in figures else None
    yield Reading(
        DESIGNATION, value, told.unit, told.standard,
        Form(
            style[:2], len(figures) - 1, 0 if point is None else len(figures) - 1 - point,
            letter="" if point is None else "R", tolerance=letter, style=style, characteristic=characteristic,
        ),
        per_cent, rated.rating if rated else "",
        (*notes, *remarks, *preferred_words(value), *tables.cited(told.source, source)),
    )  # fmt: skip


def _style_alone(match: re.Match[str], tables: MarkingTables) -> Reading:
    told: Style = tables.styles[match[1]]
    style = match[1] + (match[2] or "")
    value: Decimal | None = None
    return Reading(
        DESIGNATION, value, told.unit, told.standard, Form(match[1], style=style), None, "",
        (f"{told.part[0].upper()}{told.part[1:]}, style {style}", told.note.capitalize(), *tables.cited(MEMORY)),
    )  # fmt: skip
