"""What a buying order names goes on the want list in one step, and off it again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions import save_want, settle_want
from inventory.holdings.models import Want
from inventory.holdings.queries.wants import wants_by_type
from inventory.house.records.actions import state_of
from inventory.house.writing import refuse, write
from inventory.restoration.queries.buying import Bought
from tubes.models import TubeType
from tubes.queries import find_type, knowledge

MOST = 9999  # of one thing on the want list
LONGEST_PURPOSE = Want._meta.get_field("purpose").max_length or 0


@dataclass(frozen=True)
class Made:
    """A line of the want list that was written. ``before``: how many it named; None where it is new. ``state``: as it
    was left, so that nothing changed since is undone. ``purpose``: what it was for before.
    """

    key: int
    before: int | None
    state: str
    purpose: str = ""


@dataclass(frozen=True)
class Wanted:
    """What was written, and what was on the list already, in words."""

    made: tuple[Made, ...]
    told: tuple[str, ...]


@transaction.atomic
def put_on_list(
    bought: Sequence[Bought], currency: str, *, purpose: str, today: date, by: Any, add: bool = False
) -> Wanted:
    """Write steps of a buying order on the want list, with the price that was counted with as top price.

    No double is made: where the same tube is on the list under any of its numbers, that line is raised to the number
    where it names fewer, and says from then on that it is for ``purpose`` too. ``add``: neither; a line of its own, for
    what is wanted besides. All of it is told. Raises ValidationError.
    """
    if not bought:
        raise refuse("buy", "Choose at least one.")
    same_as = knowledge().kin.same_as
    names = {name for one in bought for name in same_as(one.type) | {one.type}}
    list(TubeType.objects.select_for_update(of=("self",), no_key=True).filter(name__in=names).order_by("pk"))
    there = wants_by_type()  # read once nobody else puts the same tubes on the list
    made: list[Made] = []
    told: list[str] = []
    for one in bought:
        if not 1 <= one.number <= MOST:
            raise refuse("buy", f"{one.number} {one.type}: expected from 1 to {MOST}.")
        if not (one.price.is_finite() and 0 < one.price < 10**9):
            raise refuse("buy", f"{one.price} for a {one.type}: expected a price above 0.")
        kind = find_type(one.type)
        lines = [want for name in sorted(same_as(kind.name) | {kind.name}) for want in there.get(name, [])]
        if lines and not add:
            words, row = _raised(lines, one, purpose, by)
            made += [row] if row else []
            told.append(words)
            continue
        want = Want(
            thing=kind.name, type=kind, quantity=one.number, top_price=one.price, currency=currency,
            purpose=purpose[:LONGEST_PURPOSE], since=today,
        )  # fmt: skip
        save_want(want, today=today, by=by, besides=True)
        made.append(_made(want, None))
        told.append(f"{one.number} × {kind.name} put on the list, {want.price_text}.")
    return Wanted(tuple(made), tuple(told))


def _raised(lines: Sequence[Want], one: Bought, purpose: str, by: Any) -> tuple[str, Made | None]:
    """What becomes of a tube that is on the list already: the words, and the line if it was written."""
    lines = list(Want.objects.select_for_update().filter(pk__in=[want.pk for want in lines]).order_by("pk"))
    number, row = (
        sum(want.quantity for want in lines),
        lines[0],
    )  # counted as they are locked: pressed twice, once raised
    before, was_for, price = row.quantity, row.purpose, row.price_text or "no price set"
    named = not purpose or any(purpose in want.purpose for want in lines)
    both = purpose if not was_for else f"{was_for}; {purpose}"
    told = ""
    if not named and len(both) <= LONGEST_PURPOSE:
        row.purpose, told = both, f", now for {both}"
    elif not named:
        told = f"; no room is left on it to say that it is for {purpose}"
    if number < one.number:
        row.quantity = before + one.number - number
        words = f"{one.type} is on the list already ({price}): raised from {number} to {one.number}{told}."
    else:
        words = f"{one.type} is on the list already ({number}, {price}): the number is left as it is{told}."
    if (row.quantity, row.purpose) == (before, was_for):
        return words, None
    write(row, by=by, reason="raised by a buying order")
    return words, _made(row, before, was_for)


def _made(row: Want, before: int | None, purpose: str = "") -> Made:
    fresh = Want.objects.get(pk=row.pk)
    return Made(fresh.pk, before, state_of(fresh), purpose)


@transaction.atomic
def take_off_again(made: Sequence[Made], *, by: Any) -> int:
    """Undo what ``put_on_list`` wrote: new lines are settled, raised ones named again what they did; how many lines.

    Refused, all of it, where one of them was changed since.
    """
    rows = {row.pk: row for row in Want.objects.select_for_update().filter(pk__in=[one.key for one in made])}
    for one in made:
        row = rows.get(one.key)
        if row is None or state_of(row) != one.state:
            raise refuse("made", f"{row or 'A line'} was changed since it was written; change it on the want list.")
    for one in made:
        row = rows[one.key]
        if one.before is None:
            settle_want(row, "taken back: put on the list by a buying order", by=by)
        else:
            row.quantity, row.purpose = one.before, one.purpose
            write(row, by=by, reason="taken back")
    return len(made)
