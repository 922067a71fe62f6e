"""The heater circuit of a set model as series and parallel branches, with the tubes wanted or the tubes fitted.

A letter is a branch on the filament supply; positions that share it have their heaters in series.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.sets.models import Chassis, Position, SetModel
from inventory.sets.queries import open_fittings
from inventory.sets.queries.in_position import stand_ins_in
from inventory.sets.rules.stand_ins import HeaterSaid, heater_said
from tubes.queries.filaments import heater_of
from tubes.queries.judging import Court, court
from tubes.rules.as_fitted import Across, Seat, across
from tubes.rules.circuit import Node, Parallel, Series, Tube
from tubes.rules.figures import MERCURY
from tubes.rules.judge_heater import Tolerance, tolerance_of, volts_rank
from tubes.rules.judge_parts import CARE, FITS, REWIRE, UNSUITABLE
from tubes.rules.mercury import MercuryCare, Place, mercury_care
from tubes.rules.supply import Heater, Supply, filament_supply, shunt_ohm

STOOD_IN = "a stand-in"
STANDINGS = {FITS: "right", CARE: "with care", REWIRE: "too much", UNSUITABLE: "too little"}


@dataclass(frozen=True)
class HeaterLine:
    """One position: what it wants, what is in it, and what stands across that heater (None: open, or not known)."""

    position: Position
    branch: int
    wanted: str
    fitted: str
    across: Across | None
    tolerance: Tolerance | None
    standing: str  # right, with care, too much, too little, branch open, not known, a stand-in or empty


@dataclass(frozen=True)
class Filaments:
    """The supply as the model was laid out, and each heater with what is in the sockets.

    ``drawn_a``: current of the whole as fitted. ``left_out``: positions that could not be counted, with the reason.
    """

    supply: Supply | None
    lines: tuple[HeaterLine, ...]
    drawn_a: float
    supply_v: float | None
    left_out: tuple[str, ...]
    mercury: MercuryCare | None = None
    lacking: str = ""  # what has to be recorded before anything can be worked out

    @property
    def wrong(self) -> tuple[HeaterLine, ...]:
        """The heaters that get more or less than their emitter stands."""
        return tuple(line for line in self.lines if line.standing in ("too much", "too little"))


def filaments_of(
    model: SetModel, chassis: Chassis | None = None, instead: Mapping[int, str] | None = None
) -> Filaments:
    """The filament supply of a model; with a chassis, with the tubes that are in it; ``instead``: types by position.

    Droppers and shunts are those that the types wanted ask for: they stay when another tube goes in.
    """
    judges = court()
    positions = list(model.positions.select_related("type").order_by("id"))
    wanted, left_out = _heaters(positions, judges)
    there = _types_in(positions, chassis, instead or {})
    stood_in = _stood_in(positions, chassis, there, judges)
    left_out += [f"{p.mark}: {stood_in[p.pk].told}" for p in positions if p.pk in stood_in]
    mercury = _mercury(positions, there, judges, model)
    groups = _branches([p for p in positions if p.pk in wanted])
    if not model.filament_supply_v or not groups:
        lacking = _lacking(model, positions, bool(groups))
        return Filaments(None, (), 0.0, model.filament_supply_v, tuple(left_out), mercury, lacking)
    by_mark = {p.mark: wanted[p.pk] for p in positions if p.pk in wanted}
    supply = filament_supply(_circuit(groups), by_mark, model.filament_supply_v, judges.limits)
    lines: list[HeaterLine] = []
    drawn = 0.0
    for number, (group, branch) in enumerate(zip(groups, supply.branches, strict=True), 1):
        seats = []
        for position in group:
            heater = _heater_named(there[position.pk], judges, left_out, position)
            rated = wanted[position.pk]
            seats.append(Seat(heater, shunt_ohm(rated.volts, rated.amperes, branch.load.amperes)))
        current, found = across(seats, model.filament_supply_v, branch.dropper.ohm)
        drawn += current
        for position, seat, measured in zip(group, seats, found, strict=True):
            stands = tolerance_of(seat.heater.cathode, judges.limits) if seat.heater else None
            standing = _standing(seat.heater, measured, stands) if there[position.pk] else "empty"
            if position.pk in stood_in and not there[position.pk]:
                standing = STOOD_IN
            wants, holds = wanted[position.pk].type, there[position.pk]
            lines.append(HeaterLine(position, number, wants, holds, measured, stands, standing))
    return Filaments(supply, tuple(lines), drawn, model.filament_supply_v, tuple(dict.fromkeys(left_out)), mercury)


def _lacking(model: SetModel, positions: list[Position], counted: bool) -> str:
    """What has to be recorded before the supply can be worked out, in a sentence."""
    told = [] if model.filament_supply_v else ["the filament supply voltage of this model"]
    if not positions:
        told.append("its positions")
    elif not counted:
        told += ["the heater branches of its positions"] if not any(p.heater_branch for p in positions) else []
        told += ["the types of its positions"] if not any(p.type_id for p in positions) else []
    if told:
        return f"Not recorded yet: {' and '.join(told)}."
    return "No position can be counted yet; why, stands below."


def _mercury(positions: list[Position], there: Mapping[int, str], judges: Court, model: SetModel) -> MercuryCare | None:
    """Of every position, counted in the supply or fed by another winding."""
    places = [Place(p.mark, p.type.name if p.type else "", there[p.pk]) for p in positions]
    names = {name for place in places for name in (place.wanted, place.held)}
    mercury = {name for name in names if judges[name].filling == MERCURY}
    return mercury_care(places, mercury, judges.limits, model.switched_together, model.on_side)


def _heaters(positions: list[Position], judges: Court) -> tuple[dict[int, Heater], list[str]]:
    """The heater that each position wants, and why a position is left out."""
    found, left_out = {}, []
    for position in positions:
        if not position.heater_branch:
            left_out.append(f"{position.mark}: no heater branch is recorded for it; another winding may feed it")
            continue
        if position.type is None:
            left_out.append(f"{position.mark}: it does not say which type it wants")
            continue
        try:
            found[position.pk] = heater_of(judges[position.type.name])
        except ValueError as fault:
            left_out.append(f"{position.mark}: {fault}")
    return found, left_out


def _types_in(positions: list[Position], chassis: Chassis | None, instead: Mapping[int, str]) -> dict[int, str]:
    """The type in each position: tried instead, else fitted in the chassis, else (without a chassis) wanted."""
    if chassis is None:
        there = {p.pk: p.type.name if p.type else "" for p in positions}
    else:
        there = {p.pk: "" for p in positions}
        for row in open_fittings().filter(chassis=chassis).select_related("tube__type"):
            there[row.position_id] = row.tube.type.name if row.tube.type else "?"
    return {**there, **instead}


def _stood_in(
    positions: list[Position], chassis: Chassis | None, there: dict[int, str], judges: Court
) -> dict[int, HeaterSaid]:
    """What the words on stand-ins in empty positions say of their heaters; a type that they name goes in ``there``."""
    sits = stand_ins_in([chassis.pk]) if chassis else {}
    found = {}
    for position in positions:
        several = sits.get((chassis.pk if chassis else 0, position.pk), ())
        if not several or there[position.pk]:
            continue
        row, wanted = several[0].row, position.type.name if position.type else ""
        said = heater_said(row.instead, row.changes, wanted, judges.known.types)
        found[position.pk], there[position.pk] = said, said.type
    return found


def _branches(positions: list[Position]) -> list[list[Position]]:
    """Positions by branch; those with one letter are in series."""
    groups: dict[str, list[Position]] = {}
    for position in positions:
        groups.setdefault(position.heater_branch, []).append(position)
    return list(groups.values())


def _circuit(groups: list[list[Position]]) -> Node:
    parts = [
        Series(tuple(Tube(p.mark, 0) for p in group)) if len(group) > 1 else Tube(group[0].mark, 0) for group in groups
    ]
    return Parallel(tuple(parts)) if len(parts) > 1 else parts[0]


def _heater_named(name: str, judges: Court, left_out: list[str], position: Position) -> Heater | None:
    if not name:
        return None
    try:
        return heater_of(judges[name])
    except ValueError as fault:
        what = "what is fitted there has no settled type" if name == "?" else str(fault)
        left_out.append(f"{position.mark}: {what}")
        return None


def _standing(heater: Heater | None, measured: Across | None, tolerance: Tolerance | None) -> str:
    if heater is None:
        return "not known"
    if measured is None:
        return "branch open"
    if tolerance is None:
        return "not known"
    return STANDINGS[volts_rank(measured.deviation_pct, tolerance)]
