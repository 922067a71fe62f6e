"""A set going on the air: which units serve a frequency, and what must be done first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q

from inventory.holdings.models import Tube
from inventory.pairing.queries.rows import UNIT, PairFilter, PairRow, end_of
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.rules.events import Because
from inventory.pairing.rules.fold import DUE, GOOD, NOT_NEEDED, PRESUMED, RESET_AND_VERIFY
from inventory.sets.models import Chassis, PlugInUnit, Seating
from inventory.sets.queries import SocketRow, sockets_of, units_here
from inventory.sets.queries.mercury import mercury_in
from tubes.queries import knowledge
from tubes.rules.mercury import MercuryCare

STANDS = "Nothing: the neutralization stands."
READY_FIRST = (GOOD, NOT_NEEDED, RESET_AND_VERIFY, PRESUMED, DUE)


@dataclass(frozen=True)
class OnAirUnit:
    """A unit for a frequency on a chassis, and what to do first."""

    row: PairRow
    todo: str
    where: str = ""  # where the unit is to be fetched from

    def as_dict(self) -> dict[str, Any]:
        pair = self.row.as_dict()
        return {name: pair[name] for name in ("unit", "state", "setting", "reasons")} | {"todo": self.todo}


@dataclass(frozen=True)
class OnAir:
    """What a chassis needs before it goes on the air on a frequency, readiest units first."""

    chassis: Chassis
    frequency_kc: float
    on: date
    units: tuple[OnAirUnit, ...]
    sockets: tuple[SocketRow, ...] = ()
    mercury: MercuryCare | None = None
    coverage_unknown: tuple[str, ...] = ()  # units that go on it, but whose range nobody has recorded

    @property
    def sockets_first(self) -> str:
        """Positions that want a tube or a look before the set is switched on, in words."""
        empty = [row.position.mark for row in self.sockets if row.fitting is None]
        doubt = [
            f"{row.position.mark} {row.fitting.tube.state}"
            for row in self.sockets
            if row.fitting and row.fitting.tube.state != Tube.GOOD
        ]
        told = [f"{word}: {', '.join(marks)}" for word, marks in (("Empty", empty), ("Not good", doubt)) if marks]
        return ". ".join(told)

    def as_dict(self) -> dict[str, Any]:
        return {
            "chassis": end_of(self.chassis).as_dict(),
            "frequency_kc": self.frequency_kc,
            "units": [unit.as_dict() for unit in self.units],
        } | ({"mercury": self.mercury.as_dict()} if self.mercury else {})


def on_air(chassis: Chassis, frequency_kc: float, on: date) -> OnAir:
    """Units that cover the frequency on this chassis, with state, setting, reasons and what to do first."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, frequency_kc=frequency_kc, kinds=(UNIT,)))
    rows.sort(key=lambda row: READY_FIRST.index(row.state))
    where = _where(chassis, [row.unit.key for row in rows if row.unit.key is not None])
    open_range = Q(model__low_kc__isnull=True) | Q(model__high_kc__isnull=True)
    unknown = units_here().filter(open_range, model__fits=chassis.model_id)
    known = knowledge()
    sockets = sockets_of(chassis, known)
    empty = [socket.position.mark for socket in sockets if socket.position.neutralized and socket.fitting is None]
    return OnAir(
        chassis,
        frequency_kc,
        on,
        units=tuple(OnAirUnit(row, _todo(row, empty), where.get(row.unit.key or 0, "")) for row in rows),
        sockets=tuple(sockets),
        mercury=mercury_in(sockets, chassis.model, known),
        coverage_unknown=tuple(unit.tagged for unit in unknown),
    )


def _where(chassis: Chassis, keys: list[int]) -> dict[int, str]:
    """Where each unit is now: in this set, in another, in its place, lent (two queries)."""
    found = {}
    for unit in PlugInUnit.objects.filter(pk__in=keys).select_related("item__place"):
        item = unit.item
        place = item.place.path if item.place else "no place on record"
        missed = f", not found there on {item.missed_on}" if item.missed_on else ""
        found[unit.pk] = f"lent to {item.lent_to}" if item.lent_to else f"{place}{missed}"
    seated = Seating.objects.filter(unit__in=keys, until__isnull=True).select_related(
        "chassis__model", "chassis__item", "bay"
    )
    for seating in seated:
        here = seating.chassis_id == chassis.pk
        found[seating.unit_id] = f"in its {seating.bay.mark}" if here else f"in {seating.chassis}"
    return found


def _todo(row: PairRow, empty: Sequence[str]) -> str:
    """What to do first; ``empty``: neutralized positions without a tube by the register."""
    if empty and row.state != NOT_NEEDED:
        marks, told = " and ".join(empty), _todo(row, ())
        if told == STANDS:
            return f"Fit {marks}, empty by the register, then verify the null: it depends on the tube there."
        return f"{told} Before that fit {marks}, empty by the register."
    if row.state == RESET_AND_VERIFY:
        return f"Set the dial to {row.setting}, then verify the null."
    if row.state == GOOD and any(reason.cause == Because.LOOSE for reason in row.reasons):
        return "Tighten the lock, which was left open, and verify the null."
    return {
        GOOD: STANDS,
        NOT_NEEDED: "Nothing: this set needs no neutralization.",
        PRESUMED: "Verify the null once and record it; it was never checked here.",
        DUE: "Neutralize first, and write the dial setting down.",
    }[row.state]
