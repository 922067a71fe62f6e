"""A set going on the air: which units serve a frequency, and what must be done first."""

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
    def doubted(self) -> list[tuple[SocketRow, Tube]]:
        """Tubes in it that their last tests speak against, whatever the keeper calls them."""
        return [(row, row.fitting.tube) for row in self.sockets if row.fitting and row.fitting.tube.doubt]


def on_air(chassis: Chassis, frequency_kc: float, on: date) -> OnAir:
    """Units that cover the frequency on this chassis, with state, setting and reasons."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, frequency_kc=frequency_kc, kinds=(UNIT,)))
    rows.sort(key=lambda row: READY_FIRST.index(row.state))
    where = _where(chassis, [row.unit.key for row in rows if row.unit.key is not None])
    open_range = Q(model__low_kc__isnull=True) | Q(model__high_kc__isnull=True)
    unknown = units_here().filter(open_range, model__fits=chassis.model_id)
    known = knowledge()
    sockets = sockets_of(chassis, known)
    empty = tuple(one.position.mark for one in sockets if one.position.neutralized and one.fitting is None)
    return OnAir(
        chassis,
        frequency_kc,
        on,
        units=tuple(OnAirUnit(row, where.get(row.unit.key or 0, ""), empty) for row in rows),
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
