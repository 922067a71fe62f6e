"""The station view: every chassis by every plug-in unit, states only."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from inventory.pairing.models import Disturbance, Neutralization, OnAirRecord
from inventory.pairing.queries.rows import End, agrees, chassis_on, end_of, here
from inventory.pairing.rules.causes import ACCIDENTS
from inventory.pairing.rules.events import Plate, moment_of_null, moment_of_upset, moment_of_work
from inventory.pairing.rules.fold import DUE
from inventory.pairing.rules.station import STATION_STATES, StationEvents, stamp_of, station_states
from inventory.sets.models import Chassis, Fitting, PlugInUnit, UnitModel

Covers = tuple[float | None, float | None]


@dataclass(frozen=True)
class StationFilter:
    """What the view can be narrowed by: words of the chassis, words of the unit, a frequency in kc, states."""

    chassis: str = ""
    unit: str = ""
    frequency_kc: float | None = None
    states: tuple[str, ...] = ()


@dataclass(frozen=True)
class ChassisList:
    """One chassis in words: how many pairs of each state, and the pairs, what is due first."""

    chassis: End
    counts: tuple[tuple[str, int], ...]
    pairs: tuple[tuple[End, Covers, str], ...]

    @property
    def due(self) -> list[tuple[End, Covers, str]]:
        return [pair for pair in self.pairs if pair[2] == DUE]

    @property
    def others(self) -> list[tuple[End, Covers, str]]:
        return [pair for pair in self.pairs if pair[2] != DUE]


@dataclass(frozen=True)
class StationView:
    """Units down, chassis across; ``states[unit][chassis]``, empty where the unit does not go.

    ``no_range``: units left out of a question for a frequency because nobody has recorded what they cover.
    """

    on: date
    chassis: tuple[End, ...]
    units: tuple[End, ...]
    covers: tuple[Covers, ...]
    states: tuple[tuple[str, ...], ...]
    no_range: tuple[End, ...] = ()

    @property
    def rows(self) -> list[tuple[End, Covers, list[tuple[End, str]]]]:
        """For a template: each unit with what it covers and its state on each chassis."""
        return [
            (unit, covers, list(zip(self.chassis, line, strict=True)))
            for unit, covers, line in zip(self.units, self.covers, self.states, strict=True)
        ]

    @property
    def counts(self) -> list[tuple[str, int]]:
        """How many pairs there are of each state."""
        return _counts(state for line in self.states for state in line)

    @property
    def lists(self) -> list[ChassisList]:
        """The same chassis by chassis, in words."""
        return [self._list_of(at, chassis) for at, chassis in enumerate(self.chassis)]

    def _list_of(self, at: int, chassis: End) -> ChassisList:
        pairs = [
            (unit, covers, line[at])
            for unit, covers, line in zip(self.units, self.covers, self.states, strict=True)
            if line[at]
        ]
        pairs.sort(key=lambda pair: STATION_STATES.index(pair[2]))
        return ChassisList(chassis, tuple(_counts(state for _, _, state in pairs)), tuple(pairs))

    def of_chassis(self, start: int, stop: int) -> "StationView":
        """Only some of the chassis, by their order, and the units that go into any of them."""
        return self._cut([at for at in range(len(self.chassis)) if start <= at < stop], list(range(len(self.units))))

    def narrowed(self, wanted: StationFilter) -> "StationView":
        """What a filter leaves. States are those of the whole station: what is hidden still counts for them."""
        columns = [at for at, end in enumerate(self.chassis) if agrees(wanted.chassis, end)]
        lines = [at for at, end in enumerate(self.units) if agrees(wanted.unit, end)]
        no_range: tuple[End, ...] = ()
        if (kc := wanted.frequency_kc) is not None:
            no_range = tuple(self.units[at] for at in lines if None in self.covers[at])
            lines = [at for at in lines if _reaches(self.covers[at], kc)]
        view = replace(self._cut(columns, lines, wanted.states), no_range=no_range)
        if not wanted.states:
            return view
        used = [at for at in range(len(view.chassis)) if any(line[at] for line in view.states)]
        return replace(view._cut(used, list(range(len(view.units)))), no_range=no_range)

    def _cut(self, columns: list[int], lines: list[int], states: tuple[str, ...] = ()) -> "StationView":
        cells = {
            at: tuple(s if not states or s in states else "" for s in (self.states[at][c] for c in columns))
            for at in lines
        }
        kept = [at for at in lines if any(cells[at])]
        return StationView(
            self.on,
            tuple(self.chassis[at] for at in columns),
            tuple(self.units[at] for at in kept),
            tuple(self.covers[at] for at in kept),
            tuple(cells[at] for at in kept),
            self.no_range,
        )


def _reaches(covers: Covers, kc: float) -> bool:
    low, high = covers
    return low is not None and high is not None and low <= kc <= high


def _counts(states: Iterable[str]) -> list[tuple[str, int]]:
    found = Counter(states)
    return [(state, found[state]) for state in STATION_STATES if state and found[state]]


def station_view(on: date, chassis: Sequence[Chassis] | None = None) -> StationView:
    """States of all pairs at the end of ``on`` (seven queries, whatever the number of pairs and events).

    ``chassis``: those of ``chassis_on`` that day, where the caller has them already.
    """
    chassis = list(chassis_on(on)) if chassis is None else chassis
    units = list(here(PlugInUnit.objects.select_related("model", "item"), on))
    goes = set(UnitModel.fits.through.objects.values_list("unitmodel_id", "setmodel_id"))
    pairs = {(unit, model) for unit in {u.model_id for u in units} for model in {c.model_id for c in chassis}}
    known = pairs & goes
    fits = np.array([[(u.model_id, c.model_id) in known for u in units] for c in chassis], dtype=bool)
    taking = [i for i, c in enumerate(chassis) if fits.size and fits[i].any()]  # sets without units only take up room
    states = station_states(
        [c.model.neutralizing for c in chassis],
        [Plate(c.serial, c.serial_reading) for c in chassis],
        [Plate(u.serial, u.serial_reading) for u in units],
        fits.reshape(len(chassis), len(units)),
        station_events(on, chassis, units),
        on,
    )
    return StationView(
        on,
        tuple(end_of(chassis[i]) for i in taking),
        tuple(end_of(u) for u in units),
        tuple((u.model.low_kc, u.model.high_kc) for u in units),
        tuple(tuple(STATION_STATES[states[i, j]] for i in taking) for j in range(len(units))),
    )


def station_events(on: date, chassis: Iterable[Chassis], units: Iterable[PlugInUnit]) -> StationEvents:
    """Every event up to a day as columns (four queries)."""
    at_chassis = {c.pk: i for i, c in enumerate(chassis)}
    at_unit = {u.pk: i for i, u in enumerate(units)}
    upsets = [
        (at_chassis.get(c, -1), at_unit.get(u, -1), stamp_of(moment_of_upset(day, at, accident)), accident)
        for c, u, day, at, accident in _upsets(on)
        if (c is None or c in at_chassis) and (u is None or u in at_unit)
    ]
    null, upset = _columns(_nulls(on, at_chassis, at_unit), 4), _columns(upsets, 4)
    stay, use = _columns(_stays(on, at_chassis), 5), _columns(_uses(on, at_chassis, at_unit), 3)
    return StationEvents(
        null_chassis=null[0],
        null_unit=null[1],
        null_at=null[2],
        null_set=null[3].astype(bool),
        upset_chassis=upset[0],
        upset_unit=upset[1],
        upset_at=upset[2],
        upset_accident=upset[3].astype(bool),
        stay_chassis=stay[0],
        stay_position=stay[1],
        stay_tube=stay[2],
        stay_start=stay[3],
        stay_end=stay[4],
        use_chassis=use[0],
        use_unit=use[1],
        use_at=use[2],
    )


Places = Mapping[int, int]  # by key of a row: its column or line


def _nulls(on: date, at_chassis: Places, at_unit: Places) -> list[tuple[Any, ...]]:
    """Chassis, unit, moment, and whether the setting was written down."""
    rows = Neutralization.objects.filter(on__lte=on, struck="").order_by()
    return [
        (at_chassis[c], at_unit[u], stamp_of(moment_of_null(day, at)), bool(setting.strip()))
        for c, u, day, at, setting in rows.values_list("chassis_id", "unit_id", "on", "at", "setting")
        if c in at_chassis and u in at_unit
    ]


def _stays(on: date, at_chassis: Places) -> list[tuple[Any, ...]]:
    """Chassis, position, tube, start and end (-1: none yet) of each tube in a neutralized position."""
    rows = Fitting.objects.filter(position__neutralized=True, since__lte=on).order_by()
    cells = ("chassis_id", "position_id", "tube_id", "since", "since_at", "until", "until_at")
    return [
        (at_chassis[c], position, tube, _start(since, since_at), _start(until, until_at) if until else -1)
        for c, position, tube, since, since_at, until, until_at in rows.values_list(*cells)
        if c in at_chassis
    ]


def _uses(on: date, at_chassis: Places, at_unit: Places) -> list[tuple[Any, ...]]:
    """Chassis, unit and moment of each on-air record that names its unit."""
    rows = OnAirRecord.objects.filter(on__lte=on, struck="", unit__isnull=False).order_by()
    return [
        (at_chassis[c], at_unit[u], stamp_of(moment_of_null(day, at)))
        for c, u, day, at in rows.values_list("chassis_id", "unit_id", "on", "at")
        if c in at_chassis and u in at_unit
    ]


def _upsets(on: date) -> Iterator[tuple[Any, ...]]:
    """Chassis and unit (None: every one), day, time, and whether it was an accident; what upset both is told twice."""
    rows = Disturbance.objects.filter(on__lte=on, struck="").order_by()
    for c, u, day, at, cause, both in rows.values_list("chassis_id", "unit_id", "on", "at", "cause", "both"):
        for ends in ((c, None), (None, u)) if both else ((c, u),):
            yield *ends, day, at, cause in ACCIDENTS


def _start(day: date, at: Any) -> int:
    return stamp_of(moment_of_work(day, at))


def _columns(rows: list[tuple[Any, ...]], width: int) -> Any:
    return np.array(rows, dtype=np.int64).reshape(len(rows), width).T
