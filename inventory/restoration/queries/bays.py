"""The bays of the sets of plans: the unit in each, or the free unit that it gets, dealt over all that ask at once."""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from inventory.holdings.models import Item
from inventory.pairing.queries import PairRow
from inventory.pairing.queries.table import rows_of
from inventory.pairing.rules.fold import DUE, RESET_AND_VERIFY
from inventory.restoration.models import Plan
from inventory.restoration.queries.lines import BAY, Line
from inventory.restoration.queries.slots import urgencies
from inventory.restoration.rules.allocation import allocate
from inventory.restoration.rules.words import COVERED, DOUBTFUL, ELSEWHERE, IN_PLACE, SHORT
from inventory.sets.models import Bay, Chassis, PlugInUnit, Seating, UnitModel

MOST_NAMED = 3
Asking = Sequence[tuple[Plan, Sequence[Chassis]]]
At = tuple[int, int]  # keys of a set and of one of its bays


@dataclass(frozen=True)
class Units:
    """What sits in which bay, and which free unit goes into which empty one.

    ``seated``: by bay; ``free``: units that sit nowhere, by the set model that they go into; ``dealt``: by bay.
    """

    seated: Mapping[At, PlugInUnit]
    free: Mapping[int, Sequence[PlugInUnit]]
    dealt: Mapping[At, PlugInUnit]
    words: Mapping[At, str]  # of each bay that gets one: for which plan, which set, which bay

    def takers(self, model: int) -> Counter[str]:
        """For what the free units that go into a set model are taken."""
        able = {unit.pk for unit in self.free.get(model, ())}
        return Counter(self.words[at] for at, unit in self.dealt.items() if unit.pk in able)


def bay_lines(sets: Sequence[Chassis], on: date, asking: Asking) -> dict[int, list[Line]]:
    """A line for each bay, by set: the unit in it and whether the pair is due, or the unit that it gets, or none.

    ``asking``: every plan that asks for units, with its sets. No unit is promised to two bays.
    """
    models = {one.model_id for _, those in asking for one in those} | {one.model_id for one in sets}
    bays: dict[int, list[Bay]] = defaultdict(list)
    for bay in Bay.objects.filter(set_model__in=models):
        bays[bay.set_model_id].append(bay)
    if not any(bays[one.model_id] for one in sets):
        return {one.pk: [] for one in sets}
    units = _dealt(asking, bays)
    named = {
        (one.pk, unit.pk)
        for one in sets
        for bay in bays[one.model_id]
        if (unit := units.seated.get((one.pk, bay.pk)) or units.dealt.get((one.pk, bay.pk)))
    }
    pairs = {(row.chassis.key, row.unit.key): row for row in rows_of(on, sorted(named))}
    return {one.pk: [_line(bay, one, units, pairs) for bay in bays[one.model_id]] for one in sets}


def _dealt(asking: Asking, bays: Mapping[int, Sequence[Bay]]) -> Units:
    """The free units dealt to the empty bays, the more urgent plan first, as many bays as can be."""
    keys = [one.pk for _, those in asking for one in those]
    rows = Seating.objects.filter(chassis__in=keys, until__isnull=True).select_related("unit__model", "unit__item")
    seated = {(row.chassis_id, row.bay_id): row.unit for row in rows}
    free = _free_units({one.model_id for _, those in asking for one in those})
    urgency = urgencies([plan for plan, _ in asking])
    wanted: dict[At, tuple[Plan, Chassis, Bay]] = {}  # once, also where a set in a plan is judged as if it were in none
    for plan, those in asking:
        for one in those:
            for bay in bays.get(one.model_id, ()):
                if (one.pk, bay.pk) not in seated:
                    wanted.setdefault((one.pk, bay.pk), (plan, one, bay))
    empty = list(wanted.values())
    units = sorted({unit for several in free.values() for unit in several}, key=lambda unit: unit.item.tag)
    goes = {model: {unit.pk for unit in several} for model, several in free.items()}
    costs = np.array(
        [[0.0 if unit.pk in goes.get(one.model_id, ()) else np.inf for unit in units] for _, one, _ in empty], float
    ).reshape(len(empty), len(units))
    taken = allocate(costs, np.array([urgency[plan.pk] for plan, _, _ in empty], np.int64))
    dealt = {
        (one.pk, bay.pk): units[int(number)] for (_, one, bay), number in zip(empty, taken, strict=True) if number >= 0
    }
    words = {at: f"{plan}, {one} bay {bay.mark}" for at, (plan, one, bay) in wanted.items()}
    return Units(seated, free, dealt, words)


def units_counted_on(asking: Asking, going: Collection[int]) -> dict[int, tuple[Plan, Chassis, Bay]]:
    """Of units that go, by key: which empty bay of an open plan gets it that no other free unit could fill then (a
    fixed number of queries).
    """
    models = {one.model_id for _, those in asking for one in those}
    bays: dict[int, list[Bay]] = defaultdict(list)
    for bay in Bay.objects.filter(set_model__in=models):
        bays[bay.set_model_id].append(bay)
    units = _dealt(asking, bays)
    taken = {unit.pk for unit in units.dealt.values()}
    told: dict[int, tuple[Plan, Chassis, Bay]] = {}
    for plan, those in asking:
        for one in those:
            able = {unit.pk for unit in units.free.get(one.model_id, ())}
            others = able - taken - set(going)
            for bay in bays[one.model_id]:
                unit = units.dealt.get((one.pk, bay.pk))
                if unit is not None and unit.pk in going and not others:
                    told.setdefault(unit.pk, (plan, one, bay))
    return told


def _free_units(models: set[int]) -> dict[int, list[PlugInUnit]]:
    """Units that are here and sit nowhere, by the set model that they go into."""
    goes: dict[int, set[int]] = defaultdict(set)  # set models by unit model
    for unit_model, set_model in UnitModel.fits.through.objects.filter(setmodel__in=models).values_list(
        "unitmodel_id", "setmodel_id"
    ):
        goes[unit_model].add(set_model)
    rows = PlugInUnit.objects.filter(
        model__in=goes, item__gone_on__isnull=True, item__lent_to="", item__missed_on__isnull=True
    )
    found: dict[int, list[PlugInUnit]] = defaultdict(list)
    for unit in rows.exclude(seatings__until__isnull=True, seatings__isnull=False).select_related("model", "item"):
        for set_model in goes[unit.model_id]:
            found[set_model].append(unit)
    return found


def _line(bay: Bay, chassis: Chassis, units: Units, pairs: Mapping[tuple[int | None, int | None], PairRow]) -> Line:
    need, at = f"a plug-in unit in bay {bay.mark}", (chassis.pk, bay.pk)
    unit = units.seated.get(at)
    thing = unit or units.dealt.get(at)
    if thing is None:
        status, why = _none_for(chassis, units)
        return Line(BAY, need, status, chassis, bay.mark, reasons=(why,), bay=bay)
    pair = pairs.get((chassis.pk, thing.pk))
    entails = _to_neutralize(pair)
    if unit is not None:
        status = DOUBTFUL if entails else IN_PLACE
        reasons = reasons_of(pair) or (f"{unit} sits in it.",)
        if away := away_words(unit.item):
            return Line(BAY, need, SHORT, chassis, bay.mark, entails=entails, reasons=(f"{unit} {away}.", *reasons))
    else:
        more = len(units.free.get(chassis.model_id, ())) - sum(units.takers(chassis.model_id).values())
        beside = f" {more} more would do as well." if more > 0 else ""
        status, reasons = COVERED, (f"Nothing is in it; this one is free.{beside}",)
    return Line(
        BAY, need, status, chassis, bay.mark, str(thing), "", entails, reasons, thing=thing.item, bay=bay,
        pair=pair if entails else None,
    )  # fmt: skip


def _none_for(chassis: Chassis, units: Units) -> tuple[str, str]:
    """Why an empty bay gets no unit."""
    if not units.free.get(chassis.model_id):
        return SHORT, "Nothing is in it, and no unit that goes there is free."
    takers = units.takers(chassis.model_id)
    named = "; ".join(list(takers)[:MOST_NAMED])
    more = f"; and {len(takers) - MOST_NAMED} more" if len(takers) > MOST_NAMED else ""
    return ELSEWHERE, f"Nothing is in it. The free units that go there are wanted elsewhere: {named}{more}."


def away_words(item: Item | None) -> str:
    """Why a thing that belongs there is not to be had, in words; empty where it is here."""
    if item is None:
        return ""
    return f"is lent to {item.lent_to}" if item.lent_to else f"was not found on {item.missed_on}" * bool(item.missed_on)


def reasons_of(pair: PairRow | None) -> tuple[str, ...]:
    """Why a pair stands as it does."""
    return tuple(reason.text for reason in pair.reasons) if pair else ()


def _to_neutralize(pair: PairRow | None) -> tuple[str, ...]:
    if pair is None:
        return ()
    if pair.state == DUE:
        return (f"neutralize {pair.unit.name} on {pair.chassis.name} before it goes on the air",)
    if pair.state == RESET_AND_VERIFY:
        return (f"set {pair.setting} back on {pair.unit.name} and verify the null",)
    return ()
