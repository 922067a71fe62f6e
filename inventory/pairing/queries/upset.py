"""What another tube in a neutralized position would undo, said before it is fitted."""

from django.utils import timezone

from inventory.pairing.queries.rows import UNIT, PairFilter
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.rules.fold import GOOD, PRESUMED, RESET_AND_VERIFY
from inventory.sets.models import Chassis, Position


def pairs_undone(chassis: Chassis | None, position: Position) -> list[str]:
    """The pairs of a chassis (None: of every chassis of the model) that are not due yet and would be, in words."""
    if not position.neutralized:
        return []
    model = position.set_model
    wanted = PairFilter(
        chassis="" if chassis else model.name,
        chassis_key=chassis.pk if chassis else None,
        kinds=(UNIT,),
        states=(GOOD, PRESUMED, RESET_AND_VERIFY),
    )
    return [
        f"{row.unit.tagged}{'' if chassis else f' with {row.chassis.tagged}'}, now {row.state}"
        for row in pairing_table(timezone.localdate(), wanted)
        if chassis or row.chassis.model == model.name
    ]
