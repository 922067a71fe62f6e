"""What belongs with things that are about to move, be lent or go: told before they go alone, for one or for many."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from django.utils import timezone

from inventory.holdings.models import Item
from inventory.pairing.queries.mated import mates_in_sets
from inventory.pairing.queries.rows import COMPANION, End, PairFilter, chassis_on
from inventory.pairing.queries.station import station_view
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.rules.companions import MATCHED
from inventory.pairing.rules.fold import GOOD, PRESUMED, RESET_AND_VERIFY
from inventory.sets.models import Chassis

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
