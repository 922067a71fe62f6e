"""A large made-up collection for trials, written in bulk: no history rows, since nobody changed anything.

The same seed on the same reference tables and an empty database gives the same rows.
"""

import random
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Any, TypeVar

from django.db import models, transaction

from inventory.holdings.actions import give_tags
from inventory.holdings.models import Item, Movement, Place, TagSeries, Tube
from inventory.pairing.models import Disturbance, Neutralization
from inventory.pairing.rules.causes import CAUSES
from inventory.restoration.models import Plan
from inventory.sets.models import (
    MISSING,
    READ,
    UNREADABLE,
    Bay,
    Chassis,
    Fitting,
    PlugInUnit,
    Position,
    SetModel,
    UnitModel,
)
from tubes.models import Designation, TubeType
from tubes.queries import knowledge
from tubes.rules.relations import SAME, is_unchecked

MARK = "made"  # a tag series in lower case, as the demo's: it counts the collections made here
BATCH = 2000
YEARS = 15
COMMON = {
    "6SN7GT", "6SL7GT", "6V6GT", "6K7", "6SK7", "6SJ7", "6SA7", "6SQ7", "6H6", "6J5", "6L6", "6F6", "12SK7",
    "12SG7", "12AT7", "12AU7", "12AX7", "6AK5", "6AL5", "6AU6", "6BA6", "6C4", "5U4G", "5Y3GT", "80", "0D3", "0C3",
    "0A2", "807", "1625", "1626", "1629", "211", "801A", "10", "838", "813", "866A", "2E26", "6146", "832A", "829B",
    "955", "EF50", "6AC7", "6AG7",
}  # fmt: skip
DRIVEN, PLAIN = ("10", "801A", "211", "838", "807"), ("6V6GT", "6SN7GT", "6SJ7", "6K7", "5U4G", "0D3", "866A", "6AG7")
STATES = {Tube.GOOD: 46, Tube.UNTESTED: 36, Tube.WEAK: 12, Tube.DUD: 6}
SEEN = ("", "carton good", "carton torn", "no carton", "getter bright", "getter milky at the edge", "base loose")
HOW = ("bought", "swapped", "given", "pulled from a set")
WHO = ("Ines Farrow", "Tobias Lunt", "Margit Ostrey", "Hollis Crane", "Ebb Street radio club", "")
NEUTRALIZING = (SetModel.IN_UNIT, SetModel.IN_CHASSIS, SetModel.NONE)
CAUTION = "High voltage and stored charge. Plate supply off, discharged and proved dead before hands go in."

Made = TypeVar("Made", bound=models.Model)


@dataclass
class Maker:
    """The dice, the day it is, and the number of this collection in its database."""

    dice: random.Random
    today: date
    run: int

    def day(self, after: date | None = None) -> date:
        """A day in the last years, or between ``after`` and today."""
        first = after or self.today - timedelta(days=365 * YEARS)
        return first + timedelta(days=self.dice.randint(0, max(0, (self.today - first).days)))

    def at(self) -> time | None:
        return time(self.dice.randint(8, 18), 15 * self.dice.randint(0, 3)) if self.dice.random() < 0.3 else None


def _save(rows: Iterable[Made]) -> list[Made]:
    rows = list(rows)
    return list(type(rows[0])._default_manager.bulk_create(rows, batch_size=BATCH)) if rows else []


@transaction.atomic
def make_collection(
    *, tubes: int, chassis: int, units: int, events: int, seed: int, today: date, plans: int = 0
) -> dict[str, int]:
    """Write a made-up collection of that size and count what was written. Tag numbers go on from the last ones.

    ``events``: neutralizations and disturbances together; ``plans``: at most one for each set. Raises
    ValueError for a size that cannot be made.
    """
    for name, size in (("tubes", tubes), ("chassis", chassis), ("units", units), ("events", events), ("plans", plans)):
        if size < 0:
            raise ValueError(f"{name}: {size}, expected 0 or more")
    if events and not (chassis and units):
        raise ValueError(f"events: {events}, but an event needs at least one chassis and one unit")
    if not TubeType.objects.exists():
        raise ValueError("There are no tube types yet; run load_reference first.")
    series, _ = TagSeries.objects.get_or_create(prefix=MARK)
    series.last += 1
    series.save(update_fields=["last"])
    maker = Maker(random.Random(seed), today, series.last)
    places = _make_places(maker)
    set_models = _make_set_models(maker, min(12, max(1, chassis)))
    sets = _make_chassis(maker, set_models, chassis, places)
    drawers = _make_units(maker, set_models, units, places, sets)
    stock = _make_tubes(maker, tubes, places)
    fitted = _make_fittings(maker, sets, stock)
    counts = {"places": len(places), "set models": len(set_models), "tubes": len(stock), "chassis": len(sets)}
    counts |= {"units": len(drawers), "fittings": fitted} | _make_events(maker, sets, drawers, events)
    return counts | ({"plans": made} if (made := _make_plans(maker, sets, plans)) else {})


def _make_places(maker: Maker) -> list[Place]:
    """One building, 5 rooms, 8 cabinets in each, 9 drawers in each of those: 406 places."""
    level = _save([Place(code=f"Trial {maker.run}", path=f"Trial {maker.run}", name="made-up collection")])
    every = list(level)
    for word, count in (("Room", 5), ("Cabinet", 8), ("Drawer", 9)):
        codes = [f"{word} {number}" for number in range(1, count + 1)]
        level = _save(Place(code=code, path=f"{at.path} / {code}", parent=at) for at in level for code in codes)
        every += level
    return every


@dataclass(frozen=True)
class Model:
    """A set model with what hangs on it."""

    row: SetModel
    positions: Sequence[Position]
    units: Sequence[UnitModel]


def _make_set_models(maker: Maker, count: int) -> list[Model]:
    types = {found.name: found for found in TubeType.objects.filter(name__in=(*DRIVEN, *PLAIN))}
    made = []
    for number in range(1, count + 1):
        name, sits = f"Trial set {maker.run}-{number:02}", NEUTRALIZING[(number - 1) % len(NEUTRALIZING)]
        row = SetModel.objects.create(name=name, kind="transmitter", neutralizing=sits, caution=CAUTION)
        Bay.objects.create(set_model=row, mark="bay")
        wanted = [maker.dice.choice(DRIVEN), *maker.dice.sample(PLAIN, k=6)]
        positions = _save(
            Position(set_model=row, mark=f"V{at}", type=types.get(wants), neutralized=at == 1 and sits != SetModel.NONE)
            for at, wants in enumerate(wanted, 1)
        )
        units = _save(
            UnitModel(name=f"{name} drawer {letter}", low_kc=low, high_kc=high)
            for letter, low, high in (("A", 1500, 3000), ("B", 3000, 4500), ("C", 4500, 6000))
        )
        row.unit_models.set(units)
        made.append(Model(row, positions, units))
    return made


def _register(maker: Maker, kind: str, prefix: str, wheres: Sequence[Place | None], days: Sequence[date]) -> list[Item]:
    """Things in the register, each with its tag and its first move."""
    tags = give_tags(prefix, len(wheres)) if wheres else []
    items = _save(
        Item(tag=tag, kind=kind, place=place, seen_on=day if place else None)
        for tag, place, day in zip(tags, wheres, days, strict=True)
    )
    _save(
        Movement(item=item, to_path=item.place.path, on=day, reason="first entry")
        for item, day in zip(items, days, strict=True)
        if item.place
    )
    return items


def _serial(maker: Maker, number: int) -> dict[str, str]:
    luck = maker.dice.random()
    if luck < 0.04:
        return {"serial": "", "serial_reading": UNREADABLE if luck < 0.02 else MISSING}
    return {"serial": f"{maker.run}{number:05}", "serial_reading": READ}


def _make_chassis(
    maker: Maker, of: Sequence[Model], count: int, places: Sequence[Place]
) -> list[tuple[Chassis, Model]]:
    wheres = [maker.dice.choice(places) for _ in range(count)]
    items = _register(maker, Item.CHASSIS, "C", wheres, [maker.day() for _ in range(count)])
    which = [of[number % len(of)] for number in range(count)]
    rows = _save(
        Chassis(item=item, model=model.row, **_serial(maker, number))
        for number, (item, model) in enumerate(zip(items, which, strict=True), 1)
    )
    return list(zip(rows, which, strict=True))


def _make_units(
    maker: Maker, of: Sequence[Model], count: int, places: Sequence[Place], sets: Sequence[tuple[Chassis, Model]]
) -> list[tuple[PlugInUnit, Model]]:
    """Half of them bear the serial of a chassis that they fit, the others one of their own."""
    serials = defaultdict(list)
    for chassis, model in sets:
        if chassis.serial:
            serials[model.row.pk].append(chassis.serial)
    wheres = [maker.dice.choice(places) for _ in range(count)]
    items = _register(maker, Item.UNIT, "U", wheres, [maker.day() for _ in range(count)])
    rows, which = [], []
    for number, item in enumerate(items):
        model = of[number % len(of)]
        plate = _serial(maker, 90_000 + number)
        if plate["serial"] and serials[model.row.pk] and maker.dice.random() < 0.5:
            plate["serial"] = maker.dice.choice(serials[model.row.pk])
        rows.append(PlugInUnit(item=item, model=maker.dice.choice(model.units), **plate))
        which.append(model)
    return list(zip(_save(rows), which, strict=True))


def _marks() -> tuple[list[TubeType], list[int], dict[int, list[str]]]:
    """Types, how often each comes up, and the marks that each may bear."""
    alone = knowledge().by_handbook  # thousands of civil types that nobody else names are in few collections
    rows = (found for found in TubeType.objects.all() if found.name not in alone)
    types = sorted(rows, key=lambda found: found.name)  # here: databases order letters differently
    weights = [60 if found.name in COMMON else 1 for found in types]
    marks: dict[int, list[str]] = {found.pk: [found.name] * 3 for found in types}
    same = Designation.objects.filter(relation=SAME).values_list("type_id", "designation", "note")
    for type_id, designation, note in sorted(same, key=lambda row: row[1]):
        if not is_unchecked(note):
            marks[type_id].append(designation)
    return types, weights, marks


def _make_tubes(maker: Maker, count: int, places: Sequence[Place]) -> list[Tube]:
    dice = maker.dice
    types, weights, marks = _marks()
    chosen = dice.choices(types, weights, k=count)
    states = dice.choices(list(STATES), list(STATES.values()), k=count)
    days = [maker.day() for _ in range(count)]
    wheres = [dice.choice(places) if dice.random() < 0.98 else None for _ in range(count)]
    items = _register(maker, Item.TUBE, "T", wheres, days)
    rows = []
    for item, kind, state, day in zip(items, chosen, states, days, strict=True):
        unknown = dice.random() < 0.01
        rows.append(
            Tube(
                item=item,
                type=None if unknown else kind,
                marked=f"QX{dice.randint(1000, 9999)}" if unknown else dice.choice(marks[kind.pk]),
                state=state,
                condition=dice.choice(SEEN),
                acquired_on=day,
                acquired_how=dice.choice(HOW),
                acquired_from=dice.choice(WHO),
            )
        )
    saved = _save(rows)
    _let_some_go(maker, items)
    return saved


def _let_some_go(maker: Maker, items: Sequence[Item]) -> None:
    """One tube in fifty is sold, one in a hundred lent."""
    changed, moves = [], []
    for item in items:
        luck, place = maker.dice.random(), item.place
        if luck >= 0.03 or place is None:
            continue
        on = maker.day(after=item.seen_on)
        if luck < 0.02:
            item.place, item.gone_on, item.gone_how = None, on, "sold"
            moves.append(Movement(item=item, from_path=place.path, to_path="left the collection", on=on, reason="sold"))
        else:
            item.lent_to, item.lent_on = "Ebb Street radio club", on
        changed.append(item)
    Item.objects.bulk_update(changed, ["place", "gone_on", "gone_how", "lent_to", "lent_on"], batch_size=BATCH)
    _save(moves)


def _make_fittings(maker: Maker, sets: Sequence[tuple[Chassis, Model]], stock: Sequence[Tube]) -> int:
    """Fill nine positions in ten; now and then an earlier tube came out of the position first."""
    free: dict[int, list[Tube]] = defaultdict(list)
    for tube in stock:
        if tube.type_id and not tube.item.gone_on and not tube.item.lent_to and tube.state != Tube.DUD:
            free[tube.type_id].append(tube)
    rows, seated, moves = [], [], []
    for chassis, model in sets:
        for position in model.positions:
            pool = free.get(position.type_id or 0, [])
            if not pool or maker.dice.random() < 0.1:
                continue
            tube = pool.pop()
            since = maker.day(after=max(tube.acquired_on or maker.today, chassis.item.seen_on or maker.today))
            if pool and maker.dice.random() < 0.15:
                rows += _earlier(maker, pool.pop(), chassis, position, since)
            rows.append(Fitting(tube=tube, chassis=chassis, position=position, since=since))
            came_from = tube.item.place.path if tube.item.place else ""
            goes_to = f"in {chassis} {position.mark}"
            moves.append(Movement(item=tube.item, from_path=came_from, to_path=goes_to, on=since))
            tube.item.place, tube.item.seen_on = None, since
            seated.append(tube.item)
    Item.objects.bulk_update(seated, ["place", "seen_on"], batch_size=BATCH)
    _save(moves)
    return len(_save(rows))


def _earlier(maker: Maker, tube: Tube, chassis: Chassis, position: Position, until: date) -> list[Fitting]:
    """The tube that came out on the day ``until``, if both were here before."""
    first = max(tube.acquired_on or until, chassis.item.seen_on or until)
    if first >= until:
        return []
    since = first + timedelta(days=maker.dice.randint(0, (until - first).days - 1))
    return [Fitting(tube=tube, chassis=chassis, position=position, since=since, until=until)]


def _make_events(
    maker: Maker, sets: Sequence[tuple[Chassis, Model]], units: Sequence[tuple[PlugInUnit, Model]], count: int
) -> dict[str, int]:
    """Neutralizations, with one disturbance to five of them, of pairs that go together and need it."""
    by_model = defaultdict(list)
    for unit, model in units:
        by_model[model.row.pk].append(unit)
    able = [(c, m) for c, m in sets if m.row.neutralizing != SetModel.NONE and by_model[m.row.pk]]
    nulls: list[Neutralization] = []
    upsets: list[Disturbance] = []
    for number in range(count if able else 0):
        chassis, model = maker.dice.choice(able)
        unit = maker.dice.choice(by_model[model.row.pk])
        when: dict[str, Any] = {"on": maker.day(), "at": maker.at(), "by_whom": maker.dice.choice(WHO)}
        if number % 6 == 5:
            pair = maker.dice.choice([(chassis, None), (None, unit), (chassis, unit)])
            cause = maker.dice.choice(CAUSES).key
            upsets.append(Disturbance(chassis=pair[0], unit=pair[1], cause=cause, **when))
            continue
        setting = f"{maker.dice.randint(40, 200) / 2:g}" if maker.dice.random() < 0.8 else ""
        method = maker.dice.choice(Neutralization.METHODS)[0]
        nulls.append(Neutralization(chassis=chassis, unit=unit, setting=setting, method=method, **when))
    return {"neutralizations": len(_save(nulls)), "disturbances": len(_save(upsets))}


def _make_plans(maker: Maker, sets: Sequence[tuple[Chassis, Model]], count: int) -> int:
    """Open plans of sets that are here, one each, from priority 1 to 9."""
    here = [chassis for chassis, _ in sets if not chassis.item.gone_on]
    chosen = maker.dice.sample(here, min(count, len(here)))
    plans = _save(
        Plan(name=f"Trial plan {maker.run}-{number:03}", priority=1 + number % 9) for number, _ in enumerate(chosen, 1)
    )
    through = Plan.sets.through
    _save(through(plan=plan, chassis=chassis) for plan, chassis in zip(plans, chosen, strict=True))
    return len(plans)
