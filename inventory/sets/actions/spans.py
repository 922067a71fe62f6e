"""What a stay of a tube in a position, or of a unit in a bay, may not be: to come, of things away, beside another.

Whoever asks has locked the things. An ended stay is one of the past that is filled in afterwards; its refusals say what
to correct first, as those of corrected times do.
"""

from datetime import date, time

from inventory.holdings.actions import check_day, check_moment
from inventory.holdings.models import Item
from inventory.house.records.moments import at_start
from inventory.house.writing import refuse
from inventory.sets.models import Fitting, Seating, Stay
from inventory.sets.queries import overlapping


def check_when(stay: Stay, today: date) -> None:
    """Refuse a stay that begins or ends on a day, or at a time of today, that has not come yet."""
    check_day(stay.since, "since", today)
    check_moment(stay.since, stay.since_at, "since_at")
    if stay.until is None and stay.until_at is not None:
        raise refuse("until", f"Give the day with {stay.until_at:%H:%M}, or leave that time empty: it is still there.")
    if stay.until is not None:
        check_day(stay.until, "until", today)
        check_moment(stay.until, stay.until_at, "until_at")
        stay.clean()


def check_present(stay: Stay, *items: Item) -> None:
    """Refuse things that were not here during a stay: one that lasts needs them here now."""
    for item in items:
        if item.gone_on and (stay.until is None or stay.until > item.gone_on):
            raise refuse("since", f"{item.tag} left the collection on {item.gone_on}.")
        if item.lent_to and (stay.until is None or item.lent_on is None or stay.until > item.lent_on):
            raise refuse("since", f"{item.tag} is lent to {item.lent_to} since {item.lent_on}; take it back first.")


def check_put_in(row: Fitting) -> None:
    """Refuse a tube that was elsewhere, or a position that held another, in that time."""
    elsewhere = Fitting.objects.filter(tube=row.tube).select_related("chassis__model", "chassis__item", "position")
    if there := overlapping(elsewhere, row):
        told = (
            f"{row.tube.tag} was fitted elsewhere ({there.chassis} {there.position.mark}, {span(there)}) in that time"
        )
        if there.until is None:
            raise refuse("tube", f"{told}; take it out there first.")
        raise refuse("tube", f"{told}. {_to_mend(there, row)[1]}")
    same = Fitting.objects.filter(chassis=row.chassis, position=row.position).select_related("tube__item")
    if other := overlapping(same, row):
        held = f"{row.position.mark} held another tube in that time, {other.tube.tag} {span(other)}"
        raise refuse("since", f"{held}. {_to_mend(other, row)[1]}")


def check_free(stay: Fitting | Seating) -> None:
    """Refuse days on which the thing was elsewhere, or its place held another; says what to mend first."""
    other: Fitting | Seating | None
    if isinstance(stay, Fitting):
        rows = Fitting.objects.select_related("tube__item", "chassis__model", "chassis__item", "position")
        other = overlapping(rows.filter(chassis=stay.chassis, position=stay.position), stay)
        if other := other or overlapping(rows.filter(tube=stay.tube), stay):
            told = f"{other.tube.tag} was in {other.chassis} {other.position.mark}"
    else:
        units = Seating.objects.select_related("unit__item", "chassis__model", "chassis__item", "bay")
        other = overlapping(units.filter(chassis=stay.chassis, bay=stay.bay), stay)
        if other := other or overlapping(units.filter(unit=stay.unit), stay):
            told = f"{other.unit.tag} was in {other.chassis}, bay {other.bay.mark}"
    if other is None:
        return
    field, way = _to_mend(other, stay)
    raise refuse(field, f"{told} {span(other)}. {way}")


def _to_mend(other: Stay, stay: Stay) -> tuple[str, str]:
    """Which day of a stay to mend where another one overlaps it, and how."""
    begins_later = at_start(*_start(other)) > at_start(*_start(stay))
    if other.until is None or (stay.until is not None and begins_later):
        return "until", 'Correct its "from" first, or give a "to" that is no later than that.'
    if stay.pk is None and begins_later:  # a stay of the past, whose end was left out
        return "until", 'Give a "to" that is no later than that, or a "from" that is no earlier than its end.'
    return "since", 'Correct its "to" first, or give a "from" that is no earlier than that.'


def _start(stay: Stay) -> tuple[date, time | None]:
    return stay.since, stay.since_at


def span(stay: Stay) -> str:
    """From when to when a stay lasts, in words, with the times where they are known."""
    since = f"{stay.since}{f' {stay.since_at:%H:%M}' if stay.since_at else ''}"
    return f"since {since}" if stay.until is None else f"from {since} to {_ended(stay)}"


def _ended(stay: Stay) -> str:
    return f"{stay.until}{f' {stay.until_at:%H:%M}' if stay.until_at else ''}"
