"""Changes of instruments and tests. Digits stay as given; the figure beside them is what they say."""

from datetime import date, datetime
from typing import Any

from django.db import transaction

from inventory.holdings.actions import change_tube, check_day, check_moment, locked, turned_up
from inventory.holdings.models import Tube
from inventory.holdings.rules.readings import PERCENT, VALUE, read_reading
from inventory.house.records.actions import hold
from inventory.house.writing import refuse, write
from inventory.running.actions.log import check_day_of
from inventory.running.models import Instrument, TubeTest, TypeMinimum
from inventory.running.queries import far_from_point, reading_far_off
from inventory.running.rules.gas import leaks
from tubes.queries.judging import court


@transaction.atomic
def save_instrument(row: Instrument, *, today: date, by: Any, reason: str = "") -> Instrument:
    """Write an instrument. Its scale stays once it was read: every reading is in that unit."""
    if row.calibrated_on:
        check_day(row.calibrated_on, "calibrated_on", today)
    if row.pk:
        before = Instrument.objects.get(pk=row.pk)
        if before.scale != row.scale and row.tests.exists():
            raise refuse("scale", "Tests were read on its former scale; enter another instrument for the new one.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def save_minimum(row: TypeMinimum, *, by: Any, reason: str = "") -> TypeMinimum:
    """Write the reject limit of a type on an instrument, with its source."""
    row.section = row.section.strip()
    twin = TypeMinimum.objects.filter(instrument=row.instrument, type=row.type, section=row.section)
    if found := twin.exclude(pk=row.pk).first():
        of = f", section {row.section}" if row.section else ""
        raise refuse("type", f"{row.type}{of} has a minimum there already, {found.minimum:g}; change that one.")
    return write(row, by=by, reason=reason)


@transaction.atomic
def record_test(
    row: TubeTest, *, today: date, by: Any, odd: bool = False, reason: str = "", now: datetime | None = None
) -> TubeTest:
    """Write a test. Raises ValidationError for what is no figure, is of another scale, or follows a short.

    A reading far above what the tube read last, its minimum or a handbook's test point is taken only with ``odd``.
    ``now`` None: this machine's clock; a time later than that is refused.
    """
    hold(row)
    check_day_of(row.tube.item, row.on, "on", today)
    check_moment(row.on, row.at, "at", now)
    row.section = row.section.strip()
    _check_section(row)
    _check_order_of_work(row)
    row.reading = _figure(row, "reading_text")
    row.minimum = _figure(row, "minimum_text")
    row.reduced = _figure(row, "reduced_text")
    if row.reduced is not None and row.reading is None:
        raise refuse("reading_text", "A reading with reduced filament needs the one with full filament beside it.")
    if row.reduced is not None and row.reduced_v is None:
        raise refuse("reduced_v", "Say to how many volts the filament was reduced.")
    if row.reduced_v is not None and row.filament_v is not None and row.reduced_v >= row.filament_v:
        raise refuse("reduced_v", f"Reduced means less than the {row.filament_v:g} V of the test itself.")
    if not odd and (doubt := reading_far_off(row) or far_from_point(row)):
        raise refuse("reading_text", f"{doubt} Look again; tick the box below if it truly reads so.")
    if row.pk is None:
        turned_up([row.tube.item], on=row.on, by=by, reason="tested")
    return write(row, by=by, reason=reason)


def _check_section(row: TubeTest) -> None:
    """A double tube has sections 1 and 2; of other tubes a number may be of a diode or a system of its own kind."""
    kind = row.tube.type
    if kind is None or not row.section.isdecimal() or int(row.section) in (1, 2):
        return
    if row.pk and TubeTest.objects.filter(pk=row.pk, section=row.section).exists():
        return
    if court()[kind.name].form.sections == 2:
        raise refuse("section", f"{kind.name} has two sections, 1 and 2; there is no section {row.section}.")


def _check_order_of_work(row: TubeTest) -> None:
    """Shorts come first, and a shorted tube goes no further (TM 11-6625-316-12, par. 21-23, and practice)."""
    taken = [name for name in ("reading_text", "reduced_text", "gas") if getattr(row, name).strip()]
    if row.shorts == TubeTest.FOUND:
        if taken:
            raise refuse(taken[0], "Shorts or leakage were found: the test ends there, so no reading is taken.")
        return
    if row.shorts == TubeTest.NOT_DONE and row.shorts_words.strip():
        raise refuse("shorts", "Which shorts or leakage is written, but not whether: choose found, or none.")
    if row.shorts == TubeTest.NONE_FOUND and leaks(row.shorts_words):
        said = f"None, but of shorts or leakage is written {row.shorts_words.strip()!r}"
        raise refuse("shorts", f"{said}: choose found, or take the words away; what is no leakage goes into the note.")
    if not taken and row.shorts == TubeTest.NOT_DONE and row.noise == TubeTest.NOT_DONE:
        raise refuse("reading_text", "Nothing was read: give the reading, or what was found about shorts, gas, noise.")


def _figure(row: TubeTest, field: str) -> float | None:
    text = getattr(row, field).strip()
    setattr(row, field, text)
    if not text:
        return None
    if "/" in text.replace("mA/V", "").replace("ma/v", ""):
        raise refuse(field, f"{text!r} holds two figures; the minimum has a field of its own.")
    found = read_reading(text)
    unit = Instrument.UNITS[row.instrument.scale]  # as ``read_reading`` names scales
    if found.kind not in (VALUE, PERCENT):
        raise refuse(field, f"{text!r} is no figure; write it as the pointer stood, words go into the note.")
    if found.unit and found.unit != unit:
        wanted = f"reads in {unit}" if unit else "has a scale of its own"
        raise refuse(field, f"{text!r}: {row.instrument} {wanted}; readings of two scales are never mixed.")
    if found.figure is None:
        raise refuse(field, f"{text!r} can mean two figures; write it without a mark for thousands.")
    return float(found.figure)


@transaction.atomic
def set_state(tube: Tube, state: str, *, by: Any, reason: str, was: str = "") -> Tube:
    """The keeper's last word on a tube. The test only proposes. ``was``: the state that was shown (empty: not said)."""
    if state not in dict(Tube.STATES):
        raise refuse("state", f"{state!r} is no state; expected one of {', '.join(dict(Tube.STATES))}.")
    locked(tube.item)
    rows = Tube.objects.select_for_update(of=("self",), no_key=True)
    fresh = rows.select_related("item", "type").get(pk=tube.pk)
    if fresh.item.gone_on:
        raise refuse("state", f"{fresh.tag} left the collection on {fresh.item.gone_on}.")
    if was and fresh.state not in (was, state):
        raise refuse("state", f"Somebody said {fresh.state} of {fresh.tag} meanwhile. Look at it again.")
    fresh.state = state
    return change_tube(fresh, by=by, reason=reason)
