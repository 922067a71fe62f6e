"""The lines of a ledger in words. What they are made of is fetched in ``told``."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.utils import timezone

from inventory.house.records.moments import END_OF_DAY, Moment, just_before
from inventory.pairing.models import Disturbance, Event, Neutralization, OnAirRecord
from inventory.pairing.queries.rows import End, end_of
from inventory.pairing.rules.causes import ACCIDENTS, TOLD
from inventory.pairing.rules.events import TubeStay, moment_of_null, moment_of_upset, moment_of_work
from inventory.pairing.rules.fold import IN_UNIT
from inventory.pairing.rules.tube_stays import TAKEN_AS_LATER, changed_in_the_minute, stays_at
from inventory.sets.models import Chassis, Fitting, PlugInUnit, Seating

NULL, OTHER, UPSET, TUBE, SEAT = "neutralized", "set for another", "disturbed", "tube changed", "seated"
AIR = "on the air"
LATE = timedelta(days=1)  # what is written down the next day is no back-dated entry


@dataclass(frozen=True)
class LedgerLine:
    """One dated event. ``record`` and ``pk`` name the record it tells of, if it is one of the ledger itself.

    ``of``: the tag of the set on the air, where it tells of that.
    ``entered``: the day it was written down, where that was later than the event.
    """

    moment: Moment
    at: Any
    kind: str
    text: str
    by_whom: str = ""
    note: str = ""
    record: str = ""
    pk: int | None = None
    struck: str = ""
    entered: date | None = None
    of: str = ""

    @property
    def day(self) -> date:
        return self.moment.day


@dataclass
class Rows:
    """What a ledger is made of, fetched. ``since``: partner -> day from which on the partner's own events matter.

    ``uses``: on-air records that tell of a capacitor set for somebody else than before.
    """

    nulls: list[Neutralization]
    upsets: list[Disturbance]
    fittings: list[Fitting]
    seatings: list[Seating]
    others: list[Neutralization] = field(default_factory=list)
    since: Mapping[int, date] = field(default_factory=dict)
    uses: list[OnAirRecord] = field(default_factory=list)


def lines_of(rows: Rows, chassis: Chassis | None, unit: PlugInUnit | None) -> list[LedgerLine]:
    """The lines of a ledger of a chassis, of a unit, or (both named) of the pair, the latest first."""
    stays = _stays(rows.fittings)
    lines = [_null_line(row, chassis, unit, stays.get(row.chassis_id, ())) for row in rows.nulls]
    lines += [_other_line(row, chassis, unit) for row in rows.others]
    lines += [_use_line(row, chassis, unit) for row in rows.uses]
    lines += [_upset_line(row) for row in rows.upsets]
    lines += _tube_lines(rows, of_one=chassis is not None)
    lines += [line for row in rows.seatings for line in _seat_lines(row, chassis, unit)]
    return sorted(
        lines, key=lambda line: (line.moment, line.kind not in (NULL, OTHER), line.kind, line.text), reverse=True
    )


def _stays(fittings: Iterable[Fitting]) -> dict[int, list[TubeStay]]:
    stays: dict[int, list[TubeStay]] = defaultdict(list)
    for row in fittings:
        end = moment_of_work(row.until, row.until_at) if row.until else None
        start = moment_of_work(row.since, row.since_at)
        stays[row.chassis_id].append(TubeStay(row.position.mark, row.tube.tag, start, end))
    return stays


def tubes_at(stays: Iterable[TubeStay], moment: Moment, marks: Iterable[str] = ()) -> dict[str, list[str]]:
    """The tubes on record in the neutralized positions at a neutralization, by position; ``marks``: to be named anyway.

    A change of its very minute counts as later.
    """
    stays = list(stays)
    there: dict[str, list[str]] = {mark: [] for mark in sorted({*marks, *(stay.position for stay in stays)})}
    for stay in stays_at(stays, just_before(moment)):
        there[stay.position].append(stay.tube)
    return there


def _entered(row: Event) -> date | None:
    written = timezone.localdate(row.entered_at)
    return written if written - row.on > LATE else None


def _null_line(
    row: Neutralization, chassis: Chassis | None, unit: PlugInUnit | None, stays: Sequence[TubeStay]
) -> LedgerLine:
    moment = moment_of_null(row.on, row.at)
    parts = [f"setting {row.setting}" if row.setting else "no setting written down"]
    parts += [f"dial {row.dial_scale}"] if row.dial_scale else []
    parts += [row.get_method_display()] if row.method else []
    parts += [f"at {row.frequency_kc:g} kc"] if row.frequency_kc else []
    parts += [f"null reading {row.null_reading}"] if row.null_reading else []
    parts += [f"null found from {len(row.readings)} readings"] if row.null_fit else []
    parts += ["LOCK NOT TIGHTENED"] if row.locked is False else []
    if chassis and unit:
        head = "Neutralized"
    else:
        head = f"Neutralized {'with' if chassis else 'on'} {end_of(row.unit if chassis else row.chassis).name}"
    tubes = ", ".join(f"{mark} {' or '.join(tags) or 'none'}" for mark, tags in tubes_at(stays, moment).items())
    later = f"; a tube change is {TAKEN_AS_LATER}" if changed_in_the_minute(stays, moment) else ""
    text = f"{head}: {', '.join(parts)}." + (f" Tubes then: {tubes}{later}." if tubes else "")
    return LedgerLine(
        moment, row.at, NULL, text, row.by_whom, row.note, "neutralized", row.pk, row.struck, _entered(row)
    )


def _other_line(row: Neutralization, chassis: Chassis | None, unit: PlugInUnit | None) -> LedgerLine:
    holder, partner = (row.unit, row.chassis) if row.chassis.model.neutralizing == IN_UNIT else (row.chassis, row.unit)
    head = "Capacitor set" if chassis and unit else f"{end_of(holder).name} set"
    text = f"{head} for {end_of(partner).name}{f', setting {row.setting}' if row.setting else ''}."
    return LedgerLine(
        moment_of_null(row.on, row.at), row.at, OTHER, text, row.by_whom, "", "neutralized", row.pk, row.struck,
        _entered(row),
    )  # fmt: skip


def _use_line(row: OnAirRecord, chassis: Chassis | None, unit: PlugInUnit | None) -> LedgerLine:
    """A set on the air: the capacitor that it shares with the unit was set for the two of them."""
    assert row.unit is not None
    holder, partner = (row.unit, row.chassis) if row.chassis.model.neutralizing == IN_UNIT else (row.chassis, row.unit)
    own = chassis in (None, row.chassis) and unit in (None, row.unit)
    head = "Capacitor" if chassis and unit else end_of(holder).name
    text = f"{head} set for {end_of(partner).name}, which was on the air with it; no neutralization is recorded then."
    if row.readied == OnAirRecord.SET_BACK:
        text = f"{head} set back for {end_of(partner).name} as written down, and on the air; the null was not verified."
    elif row.readied == OnAirRecord.NOT:
        who = f"{end_of(holder).name} on the air with {end_of(partner).name}"
        text = f"{who}, not neutralized: what its capacitor was set for is not known."
    return LedgerLine(
        moment_of_null(row.on, row.at), row.at, AIR if own else OTHER, text, row.by_whom, row.note, "on-air", row.pk,
        row.struck, _entered(row), row.chassis.tag,
    )  # fmt: skip


def _upset_line(row: Disturbance) -> LedgerLine:
    of = (" and " if row.both else " with ").join(str(thing) for thing in (row.unit, row.chassis) if thing)
    of += ", as a pair" if row.unit and row.chassis and not row.both else ""
    text = f"{TOLD[row.cause].capitalize()} of {of}."
    moment = moment_of_upset(row.on, row.at, row.cause in ACCIDENTS)
    return LedgerLine(
        moment, row.at, UPSET, text, row.by_whom, row.note, "disturbed", row.pk, row.struck, _entered(row)
    )


def _tube_lines(rows: Rows, of_one: bool) -> list[LedgerLine]:
    """Tubes out and in: one line for each position and moment, in the order in which it must have gone."""
    changes: dict[tuple[Any, ...], tuple[list[tuple[bool, int, int, str]], list[str]]] = {}
    names: dict[int, End] = {}
    for row in rows.fittings:
        names[row.chassis_id] = end_of(row.chassis)
        for day, at, side in ((row.until, row.until_at, 0), (row.since, row.since_at, 1)):
            if day is None or day < rows.since.get(row.chassis_id, date.min):
                continue
            late = at is None and side == 0 and day == row.since and row.since_at is not None
            moment = _out_by(row, rows.fittings) if late else moment_of_work(day, at)
            key = (moment, at, row.chassis_id, row.position.mark)
            change = changes.setdefault(key, ([], []))
            began_then = (row.since, row.since_at) == (day, at)  # what was in it before comes out first
            change[0].append((began_then, row.pk, 1 - side, f"{row.tube.tag} {('out', 'in')[side]}"))
            change[1].extend([row.note] if side and row.note else [])
    lines = []
    for (moment, at, key, mark), (steps, notes) in changes.items():
        where = mark if of_one else f"{mark} of {names[key].name}"
        text = f"{where}: {', '.join(step[-1] for step in sorted(steps))}."
        lines.append(LedgerLine(moment, at, TUBE, text, note=" ".join(notes)))
    return lines


def _out_by(row: Fitting, fittings: Iterable[Fitting]) -> Moment:
    """When a tube that went in at a known time of the day it came out was out at the latest: before the next one."""
    came_in = moment_of_work(row.since, row.since_at)
    same = (row.chassis_id, row.position_id, row.since)
    others = [one for one in fittings if (one.chassis_id, one.position_id, one.since) == same]
    later = [moment for one in others if (moment := moment_of_work(one.since, one.since_at)) > came_in]
    return just_before(min(later)) if later else Moment(row.since, END_OF_DAY)


def _seat_lines(row: Seating, chassis: Chassis | None, unit: PlugInUnit | None) -> list[LedgerLine]:
    what = "" if unit else f"{end_of(row.unit).name} "
    where = f"bay {row.bay.mark}" + ("" if chassis and not unit else f" of {end_of(row.chassis).name}")
    lines = [
        LedgerLine(moment_of_work(row.since, row.since_at), row.since_at, SEAT, _sentence(f"{what}put into {where}"))
    ]
    if row.until:
        out = _sentence(f"{what}taken out of {where}")
        lines.append(LedgerLine(moment_of_work(row.until, row.until_at), row.until_at, "taken out", out))
    return lines


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."
