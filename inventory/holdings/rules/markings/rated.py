"""Tolerance and rating in figures behind a mark: 682K 1 kV; 0.01 mfd ±10 % 600 WVDC; 47K 1/2 W."""

import re
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.holdings.rules.markings.answers import MarkingFault, Reading
from tubes.rules.units import parse_quantity

_TAIL = re.compile(
    r"(?P<head>.*?)(?:^|[\s,;(]+|(?<=\w)(?=[±+]))(?:(?:±|\+/?-)?\s*(?P<tolerance>\d+(?:\.\d+)?)\s*%"
    r"|(?:class\s+)?(?P<safety>[XY][1-4](?:/?[XY][1-4])?)\b"
    r"|(?P<number>\d+/[1-9]\d?|\d*\.?\d+)[\s-]*"
    r"(?P<unit>WVDC|VDCW|DCWV|VDC|VAC|ACV|WV|kV|volts?|V|watts?|mW|kW|W)\b\.?(?P<ac>[\s.]*[AD]\.?C\b\.?)?)[\s,;)]*",
    re.IGNORECASE | re.DOTALL,
)
#: .01-400 on paper capacitors: microfarad, then the working voltage without its letter.
_PAPER = re.compile(
    r"(?P<value>0?[.,]\d{1,4})\s*[-–/]\s*(?P<volts>[1-9]\d{1,3})\s*(?:W?V(?:DC)?|DC)?\.?", re.IGNORECASE
)
PAPER = "The figure behind the value is the working voltage, as on paper capacitors (common practice, no source)"
_AC = re.compile(r"VAC|ACV", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Tail:
    """What stands behind a mark. ``unit``: V or W, empty where no rating does. ``safety``: class by IEC 60384-14."""

    tolerance: Decimal | None = None
    rating: str = ""
    unit: str = ""
    safety: str = ""
    note: str = ""

    def beside(self, reading: Reading) -> Reading | None:
        """A reading with this behind it; None where it contradicts: a capacitor in watts, two tolerances."""
        told = reading.tolerance_pct
        if self.safety and reading.unit != "pF":
            return None
        if (self.unit == "W" and reading.unit != "ohm") or (self.tolerance and told not in (None, self.tolerance)):
            return None
        return replace(
            reading,
            tolerance_pct=told if self.tolerance is None else self.tolerance,
            rating=", ".join(filter(None, (self.rating or reading.rating, self.safety and f"class {self.safety}"))),
            notes=(*reading.notes, self.note) if self.note else reading.notes,
        )


def split_tail(text: str) -> tuple[str, Tail]:
    """A text without the tolerance and rating at its end, and these. Raises MarkingFault where there are two of one."""
    tolerance: Decimal | None = None
    rating = unit = safety = ""
    if paper := _PAPER.fullmatch(text.strip()):
        return paper["value"].replace(",", "."), Tail(rating=f"{paper['volts']} V", unit="V", note=PAPER)
    while (match := _TAIL.fullmatch(text)) and match["head"].strip():
        if match["tolerance"]:
            if tolerance is not None:
                raise MarkingFault("there are two tolerances")
            tolerance = Decimal(match["tolerance"])
        elif match["safety"]:
            if safety:
                raise MarkingFault("there are two classes")
            safety = match["safety"].upper()
        else:
            if rating:
                raise MarkingFault("there are two ratings")
            rating, unit = _rated(match)
        text = match["head"]
    return text, Tail(tolerance, rating, unit, safety)


def _rated(match: re.Match[str]) -> tuple[str, str]:
    """A rating in volts or watts with its unit, and that unit."""
    above, stroke, below = match["number"].partition("/")
    figure = float(above) / int(below) if stroke else float(above)
    said = match["unit"]
    if "v" not in said.lower():
        small = "mW" if said[:1] == "m" else "kW" if said[:1].lower() == "k" else "W"
        return f"{parse_quantity(f'{figure:.12g} {small}', 'W'):.12g} W", "W"
    volts = parse_quantity(f"{figure:.12g} {'kV' if said.lower() == 'kv' else 'V'}", "V")
    alternating = _AC.fullmatch(said) or (match["ac"] or "").strip(" .").upper().startswith("A")
    return f"{volts:.12g} V{' AC' if alternating else ''}", "V"
