"""What a stay of a tube in a position, or of a unit in a bay, may not be: to come, of things away, beside another.

Whoever asks has locked the things. An ended stay is one of the past that is filled in afterwards; its refusals say what
to correct first, as those of corrected times do.
"""

from datetime import date, time

from inventory.holdings.actions import check_day, check_moment
from inventory.holdings.models import Item
from inventory.house.records.moments import at_start
from inventory.house.writing import refuse
from inventory.sets.models import Fitting, Seating, StandInFitted, Stay
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


def is_within(stay: Stay, before: Stay) -> bool:
    """Whether a corrected stay takes no more time than it did: it can then meet nothing that it did not meet before."""
    ends = before.until is None or (stay.until is not None and _end(stay) <= _end(before))
    return ends and at_start(*_start(stay)) >= at_start(*_start(before))


def _end(stay: Stay) -> tuple[date, time]:
    """To when an ended stay lasts at the most."""
    assert stay.until is not None
    return stay.until, stay.until_at or time.max


def check_no_stand_in(row: Fitting) -> None:
    """Refuse a tube in a socket in which a stand-in sits, or sat in that time."""
    rows = StandInFitted.objects.filter(chassis=row.chassis_id, stand_in__position=row.position_id)
    if other := overlapping(rows.select_related("stand_in__position"), _as_other(row)):
        raise refuse("position", _two_in_one(row.position.mark, f"{other.stand_in.instead} (a stand-in)", other))


def check_socket_free(row: StandInFitted) -> None:
    """Refuse a stand-in in a socket in which a tube, or another stand-in, sits or sat in that time."""
    place = row.stand_in.position
    if place is None:
        return
    tubes = Fitting.objects.filter(chassis=row.chassis_id, position=place)
    if tube := overlapping(tubes.select_related("tube__item"), _as_other(row)):
        raise refuse("since", _two_in_one(place.mark, tube.tube.tag, tube))
    others = StandInFitted.objects.filter(chassis=row.chassis_id, stand_in__position=place)
    if other := overlapping(others.exclude(stand_in=row.stand_in_id).select_related("stand_in"), row):
        raise refuse("since", _two_in_one(place.mark, f"{other.stand_in.instead} (a stand-in)", other))


def _as_other(stay: Stay) -> Stay:
    """The time of a stay without its key, which a stay of another sort may bear as well."""
    return StandInFitted(since=stay.since, since_at=stay.since_at, until=stay.until, until_at=stay.until_at)


def _two_in_one(mark: str, what: str, stay: Stay) -> str:
    """Why a socket that holds one thing takes no second one in the same time, and what to do first."""
    way = "take it out there first" if stay.until is None else "give days that have none in common with it"
    held = "holds" if stay.until is None else "held"
    return f"{mark} {held} {what}, {span(stay)}. Two things cannot stand in one socket: {way}."


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
