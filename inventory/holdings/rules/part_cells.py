"""A kind of part as the cells of a list out state it, each cell being one whole value; and back."""

import math
import re
from collections.abc import Mapping
from typing import Any

from inventory.holdings.rules.part_kinds import KINDS

#: What each cell of a list out is of a kind of part.
FIGURES = {"part_value": "value", "part_tolerance": "tolerance_pct", "part_volts": "volts", "part_watts": "watts",
           "part_amps": "amps"}  # fmt: skip
TEXTS = {"part_made": "construction", "part_class": "safety_class", "part_mounting": "mounting",
         "part_marking": "marking", "part_words": "words"}  # fmt: skip
LONGEST = {"construction": 60, "mounting": 60, "marking": 80, "words": 120}
_CLASS = re.compile(r"([XY][1-4](/[XY][1-4])?)?")


def read_cells(cells: Mapping[str, str]) -> dict[str, Any]:
    """The columns of a kind of part; empty where the cells name none. Raises ValueError naming a cell that is none."""
    kind = cells.get("part_kind", "")
    if not kind:
        return {}
    if kind not in KINDS:
        raise ValueError(f"{kind!r} is no kind of part; expected {', '.join(KINDS)}")
    told: dict[str, Any] = {"kind": kind}
    for field, name in FIGURES.items():
        told[name] = _figure(cells.get(field, ""), name)
    for field, name in TEXTS.items():
        told[name] = cells.get(field, "")
        if len(told[name]) > LONGEST.get(name, 6):
            raise ValueError(f"{told[name]!r} is longer than a part's {name.replace('_', ' ')} can be")
    if not _CLASS.fullmatch(told["safety_class"]):
        raise ValueError(f"{told['safety_class']!r} is no class of IEC 60384-14; expected such as X2, Y1 or X1/Y2")
    if told["value"] is not None and not KINDS[kind].unit:
        raise ValueError(f"a {kind} has no value; it stands in words")
    if told["value"] is None and not told["words"] and not told["construction"]:
        raise ValueError("neither a value nor words nor a construction say what it is")
    return told


def _figure(text: str, name: str) -> float | None:
    if not text:
        return None
    try:
        told = float(text)
    except ValueError:
        told = math.nan
    if not 0 <= told < math.inf or (name == "value" and not told):
        raise ValueError(f"{text!r} is no {name.replace('_pct', '')} of a part; expected a figure above 0")
    return told
