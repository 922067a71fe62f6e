"""What belongs with things that are about to move, be lent or go: told before they go alone, for one or for many."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from django.utils import timezone

from inventory.holdings.models import Item
from inventory.pairing.queries.mated import mated_sets, mates_in_sets
from inventory.pairing.queries.rows import COMPANION, End, PairFilter, chassis_on, here
from inventory.pairing.queries.station import station_view
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.rules.companions import MATCHED, NOT_MATCHED
from inventory.pairing.rules.events import Plate
from inventory.pairing.rules.fold import GOOD, PRESUMED, RESET_AND_VERIFY
from inventory.sets.models import Chassis, PlugInUnit, UnitModel

TIED = (GOOD, PRESUMED, RESET_AND_VERIFY)
Found = dict[str, list[str]]  # by tag


def mates_of_many(items: Iterable[Item]) -> dict[int, list[str]]:
    """For each of some things, by its key, what belongs with it and is not among them; left out where nothing does.

    A fixed number of queries, however many things: companions of a set and the set of one, pieces of one mated set,
    and the units of a chassis (the chassis of a unit) whose neutralization stands, is presumed, or has a dial setting.
    """
    things = list(items)
    if not things:
        return {}
    today, tags = timezone.localdate(), {item.tag for item in things}
    found: Found = defaultdict(list)
    chassis = list(chassis_on(today))
    _companions(tags, today, chassis, found)
    if any(item.kind in (Item.CHASSIS, Item.UNIT) for item in things):
        _pairs(tags, today, chassis, found)
    told = {item.pk: list(found[item.tag]) for item in things if found.get(item.tag)}
    for key, words in mates_in_sets(things, today).items():
        told.setdefault(key, []).extend(words)
    return told


def mates_of_sets(on: date) -> dict[str, str]:
    """By tag of a unit or companion that belongs with one set here the tag of that set (seven queries).

    A companion by what it was compared with, else its number; a unit whose plate bears the number of one set that takes
    it, which is how makers matched them; a piece of a mated set in which there is one set.
    """
    chassis = list(chassis_on(on))
    found = dict(_in_mated_sets(on, {one.tag for one in chassis}))
    for row in pairing_table(on, PairFilter(kinds=(COMPANION,), states=(MATCHED,)), chassis):
        if row.unit.tag and row.chassis.tag:
            found[row.unit.tag] = row.chassis.tag
    fits: dict[int, set[int]] = defaultdict(set)
    for model, set_model in UnitModel.fits.through.objects.values_list("unitmodel_id", "setmodel_id"):
        fits[model].add(set_model)
    plates: dict[str, list[Chassis]] = defaultdict(list)
    for one in chassis:
        if Plate(one.serial, one.serial_reading).readable:
            plates[one.serial.strip()].append(one)
    for unit in here(PlugInUnit.objects.select_related("item"), on):
        if Plate(unit.serial, unit.serial_reading).readable:
            bearers = [one for one in plates[unit.serial.strip()] if one.model_id in fits[unit.model_id]]
            if len(bearers) == 1:
                found[unit.tag] = bearers[0].tag
    return found


def _in_mated_sets(on: date, chassis: set[str]) -> Iterator[tuple[str, str]]:
    for mated in mated_sets(on):
        tags = {row.part.item.tag for row in mated.rows if row.part.item and row.here and row.state != NOT_MATCHED}
        if len(sets := tags & chassis) == 1:
            (whole,) = sets
            yield from ((tag, whole) for tag in tags - sets)


def _add(found: Found, tags: set[str], one: End, other: End, more: str = "") -> None:
    """``other`` is left behind when ``one`` goes: unless it goes along."""
    if one.tag in tags and other.tag and other.tag not in tags:
        found[one.tag].append(f"{other.tagged}{more}")


def _companions(tags: set[str], today: date, chassis: Sequence[Chassis], found: Found) -> None:
    for row in pairing_table(today, PairFilter(kinds=(COMPANION,), states=(MATCHED,)), chassis):
        _add(found, tags, row.chassis, row.unit)
        _add(found, tags, row.unit, row.chassis)


def _pairs(tags: set[str], today: date, chassis: Sequence[Chassis], found: Found) -> None:
    """Asks the station view, since it is quick with thousands of pairs."""
    view = station_view(today, chassis)
    for state in TIED:
        for unit, _, line in view.rows:
            for one, pair_state in line:
                if pair_state == state:
                    _add(found, tags, one, unit, f", {state} with it")
                    _add(found, tags, unit, one, f", {state} with it")
