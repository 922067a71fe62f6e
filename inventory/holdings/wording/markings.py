"""Readings of marks as a page tells them, and where each can be taken over to."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import urlencode

from inventory.holdings.rules.markings import Reading, marks_for
from inventory.holdings.rules.markings.answers import plain
from inventory.holdings.rules.markings.tables import MarkingTables
from inventory.holdings.rules.part_kinds import show_value
from inventory.holdings.rules.preferred import coarsest, nearest

KIND_WORDS = {
    "resistor-bands": "bands of a resistor",
    "resistor-bed": "body, end and dot of a resistor",
    "mica-dots": "six dots of a capacitor",
    "type-designation": "type designation",
    "value-code": "value code",
    "crystal": "crystal",
    "wire": "wire gauge",
}
MEASURE = (
    "A measured value always overrides a marking: colours fade and darken, parts drift, and some were marked by codes"
    " that nobody wrote down."
)
CHARGE = (
    "Before a part is touched or measured: power off, every capacitor discharged and proved dead by a meter. A"
    " capacitor can recover charge after it was shorted; keep it shorted until it is measured. Local codes and"
    " licensed practice come first."
)
_NAMES = {"ohm": "resistor", "pF": "capacitor", "uH": "inductor", "kc": "crystal", "mm": "wire"}


@dataclass(frozen=True, slots=True)
class Told:
    """A reading in words. ``facts``: (what, words). ``others``: (code, the same value in it). ``take``: query of a new
    part lot's form with it; empty where there is nothing to take over."""

    kind: str
    value: str
    notes: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    others: tuple[tuple[str, str], ...]
    take: str


def tell(reading: Reading, text: str, tables: MarkingTables) -> Told:
    """A reading as the page shows it; ``text``: as it was marked."""
    value = shown(reading.value, reading.unit)
    facts = []
    per_cent = reading.tolerance_pct
    exact = reading.value if isinstance(reading.value, Decimal) else None
    if per_cent is not None:
        facts.append(("Tolerance", f"{plain(per_cent)} %"))
        if exact is not None:
            ends = [show_value(_NAMES[reading.unit], float(exact * (1 + sign * per_cent / 100))) for sign in (-1, 1)]
            facts.append(("Within", " to ".join(ends)))
    if reading.rating:
        facts.append(("Rating", reading.rating))
    if exact is not None and reading.unit in ("ohm", "pF", "uH"):
        facts.append(("Preferred", _preferred(exact, reading.unit)))
    if reading.standard:
        facts.append(("Code", reading.standard))
    others = marks_for(exact, reading.unit, per_cent, tables) if exact is not None else ()
    return Told(
        KIND_WORDS[reading.kind], value or "no value said", reading.notes, tuple(facts), others,
        _take(reading, value, text),
    )  # fmt: skip


def in_one_line(readings: Iterable[Reading]) -> str:
    """Readings as one line: 1 kohm 2 %, or 22 ohm 1 %."""
    each = []
    for one in readings:
        tolerance = "" if one.tolerance_pct is None else f" {plain(one.tolerance_pct)} %"
        each.append(shown(one.value, one.unit) + tolerance)
    return ", or ".join(dict.fromkeys(each))


def shown(value: Decimal | float | None, unit: str) -> str:
    """A value as drawings write it, and in the plain unit where that is another: 0.01 mfd (10000 pF)."""
    if value is None:
        return ""
    number = f"{float(value):.6g}" if isinstance(value, float) else f"{plain(round(value, 9))}"
    in_plain = f"{number} {unit}"
    if unit == "mm":
        return f"{float(value):.4g} mm"
    written = show_value(_NAMES[unit], float(value))
    return written if written == in_plain or unit != "pF" else f"{written} ({in_plain})"


def _preferred(value: Decimal, unit: str) -> str:
    series = coarsest(value)
    if series:
        return f"yes, of E{series}"
    return f"no; nearest of E24: {shown(nearest(value, 24), unit)}"


def _take(reading: Reading, value: str, text: str) -> str:
    if not value:
        return ""
    words = [value.partition(" (")[0]]
    if reading.tolerance_pct is not None:
        words.append(f"{plain(reading.tolerance_pct)} %")
    words += [reading.rating] if reading.rating else []
    return urlencode({"name": _NAMES[reading.unit], "value": " ".join(words), "note": f"Marked {text.strip()}."})
