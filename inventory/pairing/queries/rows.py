"""What a line of the pairing table is, and what the table can be narrowed by."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q, QuerySet

from inventory.pairing.rules.companions import COMPANION_STATES
from inventory.pairing.rules.events import Reason
from inventory.pairing.rules.fold import STATES
from inventory.sets.models import MISSING, READ, UNREADABLE, Chassis

ALL_STATES = (*STATES, *COMPANION_STATES)
UNIT, COMPANION = "unit", "companion"


@dataclass(frozen=True)
class End:
    """One side of a pair: what to show and where its page is. ``tag`` empty: the thing is not here.

    ``plate`` is the serial, or the tag and why there is none; ``reading``: how the plate could be read.
    """

    model: str
    serial: str | None
    tag: str = ""
    key: int | None = None
    plate: str = ""
    reading: str = READ

    @property
    def name(self) -> str:
        return f"{self.model} {self.plate or self.serial or ''}".strip()

    @property
    def tagged(self) -> str:
        """The name with the tag, said once."""
        return self.name if not self.tag or self.tag in self.name else f"{self.name} ({self.tag})"

    @property
    def mark(self) -> str:
        """What tells it from its like where there is little room: the serial as read, else the tag."""
        return self.serial if self.serial and self.reading == READ else self.tag

    def as_dict(self) -> dict[str, str | None]:
        """``tag`` None: not here; without a number ``serial_reading`` says whether that is unreadable or missing."""
        named = {"model": self.model, "serial": self.serial, "tag": self.tag or None}
        if self.tag and not self.serial:
            named["serial_reading"] = UNREADABLE if self.reading == UNREADABLE else MISSING
        return named


@dataclass(frozen=True)
class PairRow:
    """One line of the pairing table."""

    kind: str
    chassis: End
    unit: End
    state: str
    setting: str | None
    reasons: tuple[Reason, ...]
    covers_kc: tuple[float, float] | None = None

    def as_dict(self) -> dict[str, Any]:
        return {
            "chassis": self.chassis.as_dict(),
            "unit": self.unit.as_dict(),
            "state": self.state,
            "setting": self.setting,
            "reasons": [reason.as_dict() for reason in self.reasons],
            "covers_kc": list(self.covers_kc) if self.covers_kc else None,
        }


@dataclass(frozen=True)
class PairFilter:
    """What to show: words of chassis and unit (every word must agree), a frequency in kc, states, or exact rows."""

    chassis: str = ""
    unit: str = ""
    frequency_kc: float | None = None
    states: tuple[str, ...] = ()
    chassis_key: int | None = None
    unit_key: int | None = None
    companion_key: int | None = None
    kinds: tuple[str, ...] = (UNIT, COMPANION)


def agrees(text: str, end: End) -> bool:
    """Whether every word of ``text`` is the serial or the tag (whole), or stands in the model's name."""
    serial, tag, model = (end.serial or "").casefold(), end.tag.casefold(), end.model.casefold()
    return all(word in (serial, tag) or word in model for word in text.casefold().split())


def here(rows: QuerySet[Any], on: date) -> QuerySet[Any]:
    """The things that had not left the collection on a day."""
    return rows.filter(Q(item__gone_on__isnull=True) | Q(item__gone_on__gt=on))


def chassis_on(on: date) -> QuerySet[Chassis]:
    """The sets that had not left on a day, with model and tag; fetched once by whoever asks much of them."""
    return here(Chassis.objects.select_related("model", "item"), on)


def was_here(thing: Any, on: date) -> bool:
    """The same of one thing at hand."""
    return thing.item.gone_on is None or thing.item.gone_on > on


def end_of(thing: Any) -> End:
    """A chassis or a unit as one side of a pair."""
    return End(thing.model.name, thing.serial or None, thing.item.tag, thing.pk, thing.plate, thing.serial_reading)
