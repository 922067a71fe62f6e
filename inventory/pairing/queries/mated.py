"""Mated sets: every piece with its state, and what would be left behind if one went alone."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.holdings.models import Item
from inventory.house.areas import thing_columns
from inventory.pairing.rules.companions import COMPANION_STATES, MATCHED, NOT_MATCHED, UNKNOWN
from inventory.pairing.rules.events import Plate, Reason
from inventory.pairing.rules.mated import PartFacts, state_of_part
from inventory.sets.models import MatedPart, MatedSet


@dataclass(frozen=True)
class MatedRow:
    """One place of a mated set with its state and why."""

    part: MatedPart
    state: str
    reasons: tuple[Reason, ...]

    @property
    def here(self) -> bool:
        return self.part.item is not None and self.part.item.gone_on is None

    def as_pair(self, mated_set: MatedSet) -> dict[str, Any]:
        """In the shape of a line of the pairing table: the mated set in place of the chassis."""
        return {
            "chassis": {"model": mated_set.name, "serial": mated_set.number or None},
            "unit": {"model": self.part.name, "serial": self.part.number or None},
            "state": self.state,
            "setting": None,
            "reasons": [reason.as_dict() for reason in self.reasons],
            "covers_kc": None,
        }


@dataclass(frozen=True)
class Mated:
    """A mated set with its places."""

    mated_set: MatedSet
    rows: tuple[MatedRow, ...]

    @property
    def state(self) -> str:
        """The worst state of its places; unknown where it has none."""
        states = [row.state for row in self.rows] or [UNKNOWN]
        return min(states, key=COMPANION_STATES.index)


def mated_sets(on: date, keys: Iterable[int] | None = None) -> list[Mated]:
    """All mated sets, or those of some keys, as they were at the end of a day (two queries)."""
    sets = MatedSet.objects.order_by("kind", "name")
    if keys is not None:
        sets = sets.filter(pk__in=list(keys))
    parts = MatedPart.objects.filter(mated_set__in=sets).select_related(*thing_columns("item__"))
    of_set: dict[int, list[MatedPart]] = {}
    for part in parts:
        of_set.setdefault(part.mated_set_id, []).append(part)
    found = []
    for one in sets:
        members = sorted(of_set.get(one.pk, ()), key=lambda part: (part.frequency_kc or 0, part.name))
        found.append(Mated(one, tuple(_row(part, one, members, on) for part in members)))
    return found


def _row(part: MatedPart, mated_set: MatedSet, members: list[MatedPart], on: date) -> MatedRow:
    others = [one for one in members if one is not part and _here(one, on)]
    numbers = tuple(one.number for one in others if _plate(one).readable and one.verdict != MatedPart.NOT_MATCHED)
    facts = PartFacts(
        name=f"crystal for {part.name}" if mated_set.kind == "net" else part.name,
        here=_here(part, on),
        plate=_plate(part),
        shared=mated_set.number,
        others=numbers,
        gone=f"left on {part.item.gone_on}: {part.item.gone_way}" if part.item and part.item.gone_on else "",
        matched=part.verdict == MatedPart.MATCHED if part.verdict else None,
        compared_on=part.compared_on,
        compared_by=part.compared_by,
    )
    answer = state_of_part(facts, on)
    return MatedRow(part, answer.state, (*answer.reasons, *(_apart(part, others) if facts.here else ())))


def _here(part: MatedPart, on: date) -> bool:
    return part.item is not None and (part.item.gone_on is None or part.item.gone_on > on)


def _plate(part: MatedPart) -> Plate:
    return Plate(part.number, part.number_reading)


def _apart(part: MatedPart, others: list[MatedPart]) -> tuple[Reason, ...]:
    """A piece that is lent, or lies in no place where another of its set lies."""
    item = part.item
    assert item is not None
    if item.lent_to:
        return (Reason(item.lent_on, "kept elsewhere", f"It is lent to {item.lent_to}."),)
    if item.missed_on:
        return (Reason(item.missed_on, "not found", "A stock-take did not find it."),)
    places = {other.item.place_id for other in others if other.item and not other.item.lent_to}
    if not places or item.place_id in places:
        return ()
    path = item.place.path if item.place else "no place on record"
    return (Reason(None, "kept elsewhere", f"It lies apart from the others: {path}."),)


def mated_to_settle(on: date) -> list[tuple[Mated, MatedRow]]:
    """Pieces of mated sets that are missing, strange or not known, each with its set."""
    return [(mated, row) for mated in mated_sets(on) for row in mated.rows if row.state != MATCHED]


def mates_in_sets(items: Iterable[Item], on: date) -> dict[int, list[str]]:
    """For each of some things, by its key: the pieces of its mated set that are here and are not among them.

    Three queries, whatever the number. A piece that a comparison showed not to belong leaves nothing behind.
    """
    keys = {item.pk for item in items}
    mine = dict(MatedPart.objects.filter(item__in=keys).values_list("item_id", "mated_set_id"))
    found: dict[int, list[str]] = {}
    by_key = {mated.mated_set.pk: mated for mated in mated_sets(on, mine.values())} if mine else {}
    for item_key, set_key in mine.items():
        rows = [row for row in by_key[set_key].rows if row.here and row.state != NOT_MATCHED]
        if not any(row.part.item_id == item_key for row in rows):
            continue
        name = by_key[set_key].mated_set.name
        found[item_key] = [
            f"{row.part.name} of {name} ({row.part.item.tag})"
            for row in rows
            if row.part.item and row.part.item_id not in keys
        ]
    return {key: words for key, words in found.items() if words}
