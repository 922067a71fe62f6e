"""A text in all kinds of marking, or in one that is named."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from inventory.holdings.rules.markings.answers import Answer, MarkingFault, Reading
from inventory.holdings.rules.markings.bands import BANDS, BED, read_bands, read_bed
from inventory.holdings.rules.markings.colours import Colours, colours_in, looks_coloured
from inventory.holdings.rules.markings.crystals import CRYSTAL, read_crystal
from inventory.holdings.rules.markings.designations import DESIGNATION, read_designation
from inventory.holdings.rules.markings.dots import read_dots
from inventory.holdings.rules.markings.dots_old import DOTS
from inventory.holdings.rules.markings.tables import MarkingTables
from inventory.holdings.rules.markings.value_codes import VALUE, read_value
from inventory.holdings.rules.markings.wire import WIRE, read_wire

_COLOURED: dict[str, Callable[[Colours, MarkingTables], Answer]] = {BANDS: read_bands, BED: read_bed}
_WRITTEN: dict[str, Callable[[str, MarkingTables], Answer]] = {
    DESIGNATION: read_designation, VALUE: read_value, CRYSTAL: read_crystal, WIRE: read_wire,
}  # fmt: skip
KINDS = (*_COLOURED, DOTS, *_WRITTEN)
#: No marking is longer; a longer text is refused before it is looked at.
LONGEST = 120
EXPECTED = (
    "expected the colours of bands (yellow violet orange silver), of body, end and dot, or of six dots; a value code"
    " (4K7, 103K); a type designation (RC20BF103K); a crystal (FT-241 channel 45); a wire gauge (AWG 22)"
)


@dataclass(frozen=True)
class Decoded:
    """The answer to a text: all its readings, and what is to be said beside them."""

    text: str
    readings: tuple[Reading, ...]
    warnings: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        return {
            "text": self.text,
            "readings": [one.as_dict() for one in self.readings],
            "warnings": list(self.warnings),
        }


def decode(text: str, tables: MarkingTables, kind: str | None = None) -> Decoded:
    """All readings of a text; where ``kind`` is None in every kind of marking, and none is chosen.

    What cannot be read has no reading and a warning that says what was expected. Raises ValueError for a kind that is
    none, an empty text, and one longer than any marking.
    """
    if kind is not None and kind not in KINDS:
        raise ValueError(f"{kind!r} is no kind of marking; there are {', '.join(KINDS)}")
    if not text.strip():
        raise MarkingFault(f"Nothing to read; {EXPECTED}")
    if len(text) > LONGEST:
        raise MarkingFault(f"longer than {LONGEST} characters, which no marking is; {EXPECTED}")
    kinds = KINDS if kind is None else (kind,)
    answers = {one: _asked(one, text, tables, kind is not None) for one in kinds}
    readings = tuple(reading for answer in answers.values() for reading in answer.readings)
    warnings = [warning for answer in answers.values() for warning in answer.warnings]
    if kind is not None or not readings:
        warnings += [answer.refusal for answer in answers.values() if answer.refusal and (answer.near or kind)]
    elif (dots := answers[DOTS]).near and dots.refusal:
        warnings.append(dots.refusal)  # what is read as a resistor may be a capacitor that is not read
    if not readings and not warnings:
        warnings.append(f"{text.strip()!r} is no marking known here; {EXPECTED}")
    return Decoded(text, readings, tuple(dict.fromkeys(_sentence(one) for one in warnings)))


def _asked(kind: str, text: str, tables: MarkingTables, named: bool) -> Answer:
    if read := _WRITTEN.get(kind):
        return read_wire(text, tables, named) if kind == WIRE else read(text, tables)
    if not looks_coloured(text, tables):
        return Answer(refusal=f"{text.strip()!r} names no colour; expected the colours in their order")
    try:
        colours = colours_in(text, tables)
        return read_dots(colours, tables, named) if kind == DOTS else _COLOURED[kind](colours, tables)
    except MarkingFault as fault:
        return Answer(refusal=str(fault), near=True)


def _sentence(words: str) -> str:
    words = words.strip()
    return (words[0].upper() + words[1:]).rstrip(".") + "."
