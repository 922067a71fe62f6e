"""One pair in depth."""

from dataclasses import dataclass
from datetime import date

from inventory.pairing.queries.ledger import LedgerLine, ledger_of_pair, ledger_up_to
from inventory.pairing.queries.rows import UNIT, PairFilter, PairRow
from inventory.pairing.queries.table import facts_of, pairing_table
from inventory.pairing.rules.timeline import Timeline, timeline
from inventory.sets.models import Chassis, Fitting, PlugInUnit
from inventory.sets.queries import open_fittings


@dataclass(frozen=True)
class PairDepth:
    """A pair with its state, its time line and every record about it."""

    row: PairRow
    chart: Timeline | None
    lines: tuple[LedgerLine, ...]
    tubes_now: tuple[Fitting, ...]


def pair_in_depth(chassis: Chassis, unit: PlugInUnit, on: date) -> PairDepth | None:
    """All about one pair; None where the unit does not go into the chassis."""
    rows = pairing_table(on, PairFilter(chassis_key=chassis.pk, unit_key=unit.pk, kinds=(UNIT,)))
    if not rows:
        return None
    chart = timeline(facts_of(chassis, unit, ledger_up_to(on)), on)
    fitted = open_fittings().filter(chassis=chassis, position__neutralized=True)
    tubes = tuple(fitted.select_related("tube__item", "tube__type", "position").order_by("position_id"))
    return PairDepth(rows[0], chart, tuple(ledger_of_pair(chassis, unit)), tubes)
