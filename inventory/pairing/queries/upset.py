"""What another tube in a neutralized position would undo, said before it is fitted."""

from django.utils import timezone

from inventory.pairing.queries.rows import UNIT, PairFilter
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.rules.fold import GOOD, PRESUMED, RESET_AND_VERIFY
from inventory.sets.models import Chassis, Position


def pairs_undone(chassis: Chassis, position: Position) -> list[str]:
    """The pairs of a chassis that are not due yet and would be, each in a sentence."""
    if not position.neutralized:
        return []
    wanted = PairFilter(chassis_key=chassis.pk, kinds=(UNIT,), states=(GOOD, PRESUMED, RESET_AND_VERIFY))
    return [
        f"{row.unit.name} ({row.unit.tag}), now {row.state}, is then due to be neutralized again"
        for row in pairing_table(timezone.localdate(), wanted)
    ]
