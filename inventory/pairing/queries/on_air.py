"""A set going on the air: which units serve a frequency, and what must be done first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from inventory.holdings.models import Tube
from inventory.pairing.queries.rows import UNIT, PairFilter, PairRow
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.rules.fold import DUE, GOOD, NOT_NEEDED, PRESUMED, RESET_AND_VERIFY
from inventory.sets.models import Chassis, PlugInUnit, Seating
from inventory.sets.queries import SocketRow, sockets_of, units_here
from inventory.sets.queries.mercury import mercury_in
from tubes.queries import knowledge
from tubes.rules.mercury import MercuryCare

READY_FIRST = (GOOD, NOT_NEEDED, RESET_AND_VERIFY, PRESUMED, DUE)


@dataclass(frozen=True)
class OnAirUnit:
    """A unit for a frequency on a chassis."""

    row: PairRow
    where: str = ""  # where the unit is to be fetched from
    empty: tuple[str, ...] = ()  # neutralized positions of the set without a tube by the register
    empty_besides: tuple[str, ...] = ()  # its other positions without one
    doubted: tuple[tuple[SocketRow, Tube], ...] = ()  # tubes in it that their last tests speak against


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
    def doubted(self) -> tuple[tuple[SocketRow, Tube], ...]:
        """Tubes in it that their last tests speak against, whatever the keeper calls them."""
        return _doubted(self.sockets)

    @property
    def empty(self) -> list[SocketRow]:
        """Its positions without a tube, or what stands in for one, by the register."""
        return [row for row in self.sockets if row.fitting is None and not row.stand_ins]


def _doubted(sockets: Sequence[SocketRow]) -> tuple[tuple[SocketRow, Tube], ...]:
    return tuple((row, row.fitting.tube) for row in sockets if row.fitting and row.fitting.tube.doubt)


def on_air(chassis: Chassis, frequency_kc: float, on: date) -> OnAir:
    """Units that cover the frequency on this chassis, with state, setting and reasons."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, frequency_kc=frequency_kc, kinds=(UNIT,)))
    rows.sort(key=lambda row: READY_FIRST.index(row.state))
    where = _where(chassis, [row.unit.key for row in rows if row.unit.key is not None])
    open_range = Q(model__low_kc__isnull=True) | Q(model__high_kc__isnull=True)
    unknown = units_here().filter(open_range, model__fits=chassis.model_id)
    known = knowledge()
    sockets = sockets_of(chassis, known)
    tied, besides = (
        tuple(row.position.mark for row in sockets if row.fitting is None and row.position.neutralized is neutralized)
        for neutralized in (True, False)
    )
    doubted = _doubted(sockets)
    return OnAir(
        chassis,
        frequency_kc,
        on,
        units=tuple(
            OnAirUnit(row, where.get(row.unit.key or 0, ""), *_empty_for(row, tied, besides), doubted) for row in rows
        ),
        sockets=tuple(sockets),
        mercury=mercury_in(sockets, chassis.model, known),
        coverage_unknown=tuple(unit.tagged for unit in unknown),
    )


def _empty_for(
    row: PairRow, tied: tuple[str, ...], besides: tuple[str, ...]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Empty positions that the null of a pair depends on, and the others: all, where none is needed."""
    return ((), (*tied, *besides)) if row.state == NOT_NEEDED else (tied, besides)


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
