"""What another tube in a neutralized position would undo, said before it is fitted."""

from collections.abc import Iterable, Sequence
from datetime import date

from django.utils import timezone

from inventory.pairing.queries.rows import UNIT, PairFilter
from inventory.pairing.queries.table import facts_of_pairs, pairing_table
from inventory.pairing.rules.fold import DUE, GOOD, PRESUMED, RESET_AND_VERIFY, state_after_another_tube
from inventory.sets.models import Chassis, Position


def pairs_undone(chassis: Chassis | None, position: Position) -> list[str]:
    """The pairs of a chassis (None: of every chassis of the model) that are not due yet and would be, in words.

    The fold is asked what it would say then: the first tube ever on record in a position changes nothing of a pair
    that is presumed.
    """
    if not position.neutralized:
        return []
    return _undone(chassis, position.set_model.name, [position.mark], timezone.localdate())


def pairs_undone_by(chassis: Chassis, marks: Iterable[str], on: date) -> list[str]:
    """The same of several positions of a chassis that get another tube, from one look at its pairs."""
    return _undone(chassis, chassis.model.name, list(marks), on)


def _undone(chassis: Chassis | None, model: str, marks: Sequence[str], on: date) -> list[str]:
    wanted = PairFilter(
        chassis="" if chassis else model,
        chassis_key=chassis.pk if chassis else None,
        kinds=(UNIT,),
        states=(GOOD, PRESUMED, RESET_AND_VERIFY),
    )
    rows = [row for row in pairing_table(on, wanted) if chassis or row.chassis.model == model]
    facts = facts_of_pairs([(row.chassis.key or 0, row.unit.key or 0) for row in rows], on)
    return [
        f"{row.unit.tagged}{'' if chassis else f' with {row.chassis.tagged}'}, now {row.state}"
        for row, known in zip(rows, facts, strict=True)
        if any(state_after_another_tube(known, mark, on) == DUE for mark in marks)
    ]
