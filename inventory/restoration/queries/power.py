"""What a plan does to the supplies and pairs of its sets: heaters on their winding, another rectifier, neutralizing."""

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from inventory.pairing.queries.upset import pairs_undone_by
from inventory.restoration.queries.cover import Cover
from inventory.restoration.queries.lines import Line
from inventory.restoration.queries.slots import Slot
from inventory.restoration.rules.heater_load import OVER, Drawn, Load, load_of
from inventory.restoration.rules.plate_volts import Drop, RailChange, rail_change
from inventory.restoration.rules.words import COVERED, DOUBTFUL, DUD, GOOD, STOOD_IN, STOPS
from inventory.sets.models import Chassis, Position
from inventory.sets.rules.stand_ins import HeaterSaid, heater_said
from tubes.queries.judging import Court
from tubes.rules.figures import RECTIFIERS
from tubes.rules.judge_heater import connections

NEAR = 0.1  # of the volts, up to which a heater is one for that winding; our choice, no source


@dataclass(frozen=True)
class SetPower:
    """One set: the load of its heater winding (None: ``why_not`` says why), its rectifiers, and pairs that become due.

    ``due``: pairs that are to be neutralized or set back: as they stand, as their unit comes, or once another tube is
    in a neutralized position; in words.
    """

    chassis: Chassis
    load: Load | None
    why_not: str
    rails: tuple[RailChange, ...]
    due: tuple[str, ...]

    @property
    def warning(self) -> str:
        """What must be seen before anything is put in; empty where nothing must."""
        if self.load is not None and self.load.standing == OVER:
            return f"{self.chassis}: the heater winding would be overloaded. {self.load.text}"
        return ""

    @property
    def doubt(self) -> str:
        """What is not known of the load of a rated winding; empty where all of it is, or it is too much."""
        load = self.load
        if load is None or load.winding_a is None or not load.unknown or load.standing == OVER:
            return ""
        return f"{self.chassis}: whether the heater winding bears it is not known. {load.text}"

    @property
    def says(self) -> bool:
        """Whether there is anything to tell."""
        return bool(self.load or self.why_not or self.rails or self.due)

    def as_dict(self) -> dict[str, Any]:
        load = self.load
        return {
            "set": self.chassis.tag,
            "heaters_a": load.at_least if load else None,
            "winding_a": load.winding_a if load else None,
            "standing": load.standing if load else "not known",
            "unknown": list(load.unknown) if load else [],
            "stand_ins": [f"{one.mark}: {one.stood_in}" for one in load.heaters if one.stood_in] if load else [],
            "not_counted": list(load.other) if load else [],
            "text": load.text if load else self.why_not,
            "rectifiers": [{"position": one.mark, "volts": one.volts, "text": one.text} for one in self.rails],
            "to_neutralize": list(self.due),
        }


def power_of(cover: Cover, on: date) -> tuple[SetPower, ...]:
    """The supplies and pairs of each set of a plan, with the tubes that its lines put in (a fixed number of queries for
    each set).
    """
    return tuple(power_of_set(cover, chassis, on) for chassis in cover.sets)


def power_of_set(cover: Cover, chassis: Chassis, on: date) -> SetPower:
    """The same of one of its sets."""
    judges = cover.allotment.judges
    lines = [line for line in cover.lines if line.slot is not None and line.slot.chassis.pk == chassis.pk]
    if cover.plan.is_finished:  # nothing more goes in: what is there counts
        lines = [_as_it_stands(line) for line in lines if line.slot and (line.slot.fitting or line.slot.stand_ins)]
    load, why_not = _load(chassis, _heaters(cover, chassis, lines), judges)
    return SetPower(chassis, load, why_not, _rails(lines, judges), _due(cover, chassis, lines, on))


def _as_it_stands(line: Line) -> Line:
    """A line whose position keeps the tube that is in it."""
    assert line.slot is not None
    if line.slot.fitting is None:
        return replace(line, status=STOOD_IN, slot=replace(line.slot, standing=STOOD_IN))
    return replace(line, status=DOUBTFUL, slot=replace(line.slot, standing=GOOD))


def _type_then(line: Line) -> str:
    """The type in a position once the line is done: what stays in it, what is put in, or what is wanted."""
    slot = line.slot
    assert slot is not None
    stays = not slot.wants or line.status in (DOUBTFUL, *STOPS)
    if stays and slot.fitting is not None and slot.standing != DUD:
        return slot.fitting.tube.type.name if slot.fitting.tube.type else ""
    return line.substitute or slot.wanted


@dataclass(frozen=True)
class _Heater:
    """A position with a heater. ``wanted``: the type it is made for; ``then``: that in it once the lines are done; each
    empty where it is not known. ``said``: what the words on a stand-in there say of its heater.
    """

    position: Position
    wanted: str
    then: str
    said: HeaterSaid | None = None


def _heaters(cover: Cover, chassis: Chassis, lines: Sequence[Line]) -> list[_Heater]:
    """Every position of a set, those too of which nobody recorded what they want: such a heater draws all the same."""
    types = cover.allotment.judges.known.types
    told = [_heater(line, line.slot, types) for line in lines if line.slot is not None]
    for one in cover.allotment.unrecorded:
        if one.plan.pk == cover.plan.pk and one.chassis.pk == chassis.pk and one.position is not None:
            held = one.fitting.tube.type if one.fitting else None
            told.append(_Heater(one.position, "", held.name if held else ""))
    return told


def _heater(line: Line, slot: Slot, types: Collection[str]) -> _Heater:
    if slot.standing != STOOD_IN:
        return _Heater(slot.position, slot.wanted, _type_then(line))
    row = slot.stand_ins[0].row
    said = heater_said(row.instead, row.changes, slot.wanted, types)
    return _Heater(slot.position, slot.wanted, said.type, said)


def _volts(chassis: Chassis, heaters: Sequence[_Heater]) -> float | None:
    """The voltage of the winding: that of the set model, else what most sockets are recorded to give."""
    if chassis.model.filament_supply_v:
        return chassis.model.filament_supply_v
    given = Counter(one.position.heater_v for one in heaters if one.position.heater_v)
    return given.most_common(1)[0][0] if given else None


def _load(chassis: Chassis, places: Sequence[_Heater], judges: Court) -> tuple[Load | None, str]:
    if not places:
        return None, ""
    branches = Counter(one.position.heater_branch for one in places if one.position.heater_branch)
    if any(number > 1 for number in branches.values()):
        return None, "Its heaters are in series strings: see the page of its filament supply."
    volts = _volts(chassis, places)
    if volts is None:
        return None, "What its heaters are fed with is not recorded: neither with the set model nor at its sockets."
    heaters, other = [], []
    for one in places:
        made_for = one.wanted or one.then
        if made_for and judges[made_for].cold:
            continue
        mark = one.position.mark
        on_it, taken = _on_winding(one.position, made_for, volts, judges)
        if not on_it:
            other.append(mark)
            continue
        branch = bool(one.position.heater_branch)
        laid_out = _amperes(one.wanted, volts, judges, branch)
        drawn = 0.0 if one.said and one.said.none else _amperes(one.then, volts, judges, branch)
        heaters.append(Drawn(mark, one.then, drawn, laid_out, taken, one.said.told if one.said else ""))
    winding = chassis.model.filament_winding_a if chassis.model.filament_supply_v else None
    return load_of(volts, heaters, winding, other), ""


def _on_winding(position: Position, name: str, volts: float, judges: Court) -> tuple[bool, bool]:
    """Whether the heater of a position made for a type is on the winding of some volts, and whether only its rating
    says so. One whose volts nobody knows may hang on it: it is left out only where its figures say another voltage.
    """
    if position.heater_branch:
        return True, False
    if position.heater_v:
        return abs(position.heater_v - volts) <= NEAR * volts, False
    rated = [one.volts.value for one in connections(judges[name]) if one.volts] if name else []
    return not rated or any(abs(one - volts) <= NEAR * volts for one in rated), True


def _amperes(name: str, volts: float, judges: Court, dropped: bool) -> float | None:
    """What the heater of a type draws on some volts, in the connection for them; None: not known, or not for them.

    ``dropped``: a dropper of its own gives it what it is rated for.
    """
    if not name:
        return None
    if judges[name].cold:
        return 0.0
    for one in connections(judges[name]):
        if one.volts is None or one.amperes is None:
            continue
        if dropped or abs(one.volts.value - volts) <= NEAR * volts:
            return one.amperes.value
    return None


def _rails(lines: Iterable[Line], judges: Court) -> tuple[RailChange, ...]:
    """What another rectifier does to the plate supply, for each position where another type comes in or sits."""
    told = []
    for line in lines:
        slot = line.slot
        if slot is None or judges[slot.wanted].form.kind not in RECTIFIERS:
            continue
        other = _type_then(line)
        if not other or other in judges.known.kin.same_as(slot.wanted) | {slot.wanted}:
            continue
        drops = {name: drop for name in (slot.wanted, other) if (drop := _drop(name, judges))}
        place = slot.position
        told.append(rail_change(place.mark, slot.wanted, other, place.output_ma, drops, place.plate_v))
    return tuple(told)


def _drop(name: str, judges: Court) -> Drop | None:
    """The drop of a rectifier, or of the same tube under another number, by the tables (rows ``rectifier.drop_*``)."""
    limits = judges.limits
    for one in (name, *sorted(judges.known.kin.same_as(name) - {name})):
        key, at = f"rectifier.drop_{one}", f"rectifier.drop_ma_{one}"
        if key in limits:
            return Drop(name, limits[key], limits.get(at), limits.row(key).source_told)
    return None


def _due(cover: Cover, chassis: Chassis, lines: Iterable[Line], on: date) -> tuple[str, ...]:
    """Pairs that are due once the lines are done: those of its bays, and those that another tube in a neutralized
    position undoes.
    """
    marks = [
        line.slot.position.mark for line in lines
        if line.slot is not None and line.slot.position.neutralized and line.slot.wants
    ]  # fmt: skip
    undone = pairs_undone_by(chassis, marks, on) if marks else []
    of_bays = [
        f"{line.pair.unit.tagged}, now {line.pair.state}" for line in cover.lines
        if line.pair is not None and line.chassis.pk == chassis.pk
        and not (cover.plan.is_finished and line.status == COVERED)
    ]  # fmt: skip
    return tuple(dict.fromkeys((*of_bays, *undone)))
