"""Reserving what the assignment proposes: for a position, for a line of parts, for a whole plan.

What is proposed is worked out under the lock of the plan. ``seen`` is what the page showed of it: where something else
is proposed by the time it comes back nothing is written, and what changed is told. None: nobody was shown anything.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.locking import locked_all
from inventory.house.writing import refuse
from inventory.restoration.actions.reserving import hold_open, reserve_parts, reserve_tube, take_up
from inventory.restoration.models import Plan, Requirement, Reservation
from inventory.restoration.queries.allotment import allotment
from inventory.restoration.queries.parts import Key, PartLine
from inventory.restoration.queries.proposed import Taking, changed, dealt_to, lots_words, proposed
from inventory.restoration.queries.slots import tube_words
from inventory.sets.models import Chassis, Position


def _as_shown(seen: str | None, now: str) -> None:
    if seen is not None and (words := changed(seen, now)):
        raise refuse("seen", words)


@transaction.atomic
def reserve_all(plan: Plan, *, on: date, by: Any, seen: str | None = None) -> list[Reservation]:
    """Reserve what the assignment gives to a plan, tubes and parts, in one step or not at all.

    What is to be decided by somebody stays free: see ``queries.proposed``.
    """
    fresh = hold_open(plan)
    given = proposed(plan, allotment())
    _as_shown(seen, given.seen)
    locked_all([*(tube.item for _, tube in given.tubes), *(lot.item for _, lot, _ in given.parts)])
    why = f"Chosen among all open plans on {on}."
    kept = [
        reserve_tube(fresh, slot.chassis, slot.position, tube, on=on, by=by, why=why, judged=True)
        for slot, tube in given.tubes
    ]
    return kept + _reserve_lots(given.parts, on=on, by=by, why=why)


@transaction.atomic
def reserve_at(
    plan: Plan, chassis: Chassis, position: Position, *, on: date, by: Any, seen: str | None = None
) -> Reservation:
    """Reserve the tube that the assignment gives to a position of a set. Refuses where it gives none any more."""
    hold_open(plan)
    found = allotment()
    at = plan.pk, chassis.pk, position.pk
    number = next((number for number, slot in enumerate(found.slots) if slot.key == at), None)
    if number is None or found.taken[number] < 0:
        raise refuse("tag", f"Nothing is proposed for {position.mark} any more.")
    tube = found.stock.tubes[int(found.taken[number])]
    _as_shown(seen, tube_words(tube))
    return reserve_tube(plan, chassis, position, tube, on=on, by=by)


@transaction.atomic
def reserve_line(plan: Plan, key: Key, *, on: date, by: Any, seen: str | None = None) -> list[Reservation]:
    """Reserve what the assignment gives to one line of parts of a plan. Refuses where it gives nothing any more."""
    hold_open(plan)
    deal = allotment().parts
    number = deal.at.get(key)
    if number is None or deal.lines[number].plan.pk != plan.pk or not deal.taken[number].any():
        raise refuse("line", "Nothing is proposed for this line any more.")
    parts = dealt_to(deal, number)
    _as_shown(seen, lots_words(parts))
    locked_all([lot.item for _, lot, _ in parts])
    return _reserve_lots(parts, on=on, by=by, why="")


def _reserve_lots(parts: Sequence[Taking], *, on: date, by: Any, why: str) -> list[Reservation]:
    """A weak part of a set becomes a line of the plan by it, since what is reserved hangs on a line."""
    lines: dict[Key, Requirement] = {}
    kept = []
    for line, lot, count in parts:
        if line.key not in lines:
            lines[line.key] = line.requirement or _taken_up(line, by)
        kept.append(reserve_parts(lines[line.key], lot, count, on=on, by=by, why=why))
    return kept


def _taken_up(line: PartLine, by: Any) -> Requirement:
    assert line.weak is not None  # a line is the keeper's own or a weak part
    return take_up(line.plan, line.chassis, line.weak, by=by, reason="taken up to reserve parts for it")
