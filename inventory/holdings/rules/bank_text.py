"""Capacitors of a bank as people write them: "8 mfd, 2 x 4 mfd 600 V"; a voltage behind one is its own rating."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from tubes.rules.units import parse_quantity

MOST_CAPACITORS = 60
_ONE = re.compile(
    r"(?:(?P<pieces>[0-9]{1,4})\s*[x×]\s*)?(?P<value>.+?)(?:\s+(?:at\s+)?(?P<volts>[0-9.]+\s*k?v\w*))?", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Rated:
    """So many pieces of ``uf`` microfarad each; ``volts``: what each is rated for, None where that is not written."""

    uf: float
    volts: float | None = None
    pieces: int = 1


def read_bank(texts: Sequence[str]) -> list[Rated]:
    """Raises ValueError naming the one that cannot be read, or that there are too many."""
    some = [one.strip() for one in texts if one.strip()]
    if len(some) > MOST_CAPACITORS:
        raise ValueError(f"{len(some)} capacitors; name at most {MOST_CAPACITORS}, alike ones as one: 12 x 8 mfd")
    return [_read(one) for one in some]


def _read(text: str) -> Rated:
    match = _ONE.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} cannot be read; expected a figure with its unit, such as 8 mfd")
    volts = parse_quantity(match["volts"], "V") if match["volts"] else None
    pieces = int(match["pieces"] or 1)
    if not pieces:
        raise ValueError(f"{text!r} is none; expected 1 or more")
    return Rated(parse_quantity(match["value"], "uF"), volts, pieces)
