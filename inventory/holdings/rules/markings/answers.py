"""A reading of a mark, and all that a text can mean."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from inventory.holdings.rules.preferred import coarsest


class MarkingFault(ValueError):
    """A text that is no marking of a kind; its words say what was found and what is expected."""


@dataclass(frozen=True, slots=True)
class Form:
    """What a mark bears beside its value, as far as writing it anew needs it.

    ``code``: which code it is of. ``figures``: how many its value has. ``places``: digits behind the letter that stands
    for the point. The rest as the mark has it; empty where it has none.
    """

    code: str
    figures: int = 2
    places: int = 0
    letter: str = ""
    tolerance: str = ""
    style: str = ""
    characteristic: str = ""
    temperature: str = ""
    failure_rate: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """One meaning of a mark: ``value`` in ``unit`` (ohm, pF, uH, kc, mm), None where the mark does not say it.

    ``tolerance_pct``: per cent either way, None where it is not said or has no agreed meaning. ``rating``: with its
    unit. ``notes``: remarks and sources.
    """

    kind: str
    value: Decimal | float | None
    unit: str
    standard: str
    form: Form = field(compare=False)
    tolerance_pct: Decimal | None = None
    rating: str = ""
    notes: tuple[str, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        return {
            "kind": self.kind,
            "value": plain(self.value),
            "unit": self.unit,
            "tolerance_pct": plain(self.tolerance_pct),
            "rating": self.rating or None,
            "standard": self.standard or None,
            "note": " ".join(f"{one.rstrip('.')}." for one in self.notes),
        }


@dataclass(frozen=True, slots=True)
class Answer:
    """What one kind of marking makes of a text. ``refusal``: why it reads nothing; ``near``: it may be of that kind."""

    readings: tuple[Reading, ...] = ()
    warnings: tuple[str, ...] = ()
    refusal: str = ""
    near: bool = False


def plain(number: Decimal | float | None) -> int | float | None:
    """A number as JSON writes it shortest: 47000, 0.47."""
    if number is None:
        return None
    return int(number) if number == int(number) else float(number)


def preferred_words(value: Decimal) -> tuple[str, ...]:
    """A remark where a value is of no series of preferred values."""
    if coarsest(value) is not None:
        return ()
    return (
        "No preferred value of IEC 60063; parts made before preferred values came into use carry such ones,"
        " and they are as good",
    )


def listed(words: list[str] | tuple[str, ...], last: str = "or") -> str:
    """``a, b or c``."""
    return f" {last} ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
