"""Tubes called untested that were read here and that nothing judges: what was read, and why it does not count.

They cover nothing, as untested ones; but what ends that is a minimum or the keeper's word, and hardly another test.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from inventory.restoration.queries.slots import Slot
from inventory.restoration.queries.stock import Stock
from inventory.running.models import TubeTest, TypeMinimum
from inventory.running.queries.order import IN_TIME
from inventory.running.rules.verdicts import NOT_COMPARABLE


@dataclass(frozen=True)
class Unjudged:
    """The last reading of each such tube, by key, and the minimums of the instruments, by instrument and type."""

    tests: Mapping[int, TubeTest] = field(default_factory=dict)
    minimums: Mapping[tuple[int, str], float] = field(default_factory=dict)

    def words(self, test: TubeTest, slot: Slot) -> str:
        """What was read, and why that says nothing of the tube, in a sentence."""
        read = f"{test.tube.tag} was read {test.reading_text} {test.unit_beside}".strip()
        name = test.tube.type.name if test.tube.type else "it"
        if (test.instrument_id, name) in self.minimums:
            return f"{read} on {test.on} ({test.instrument}), which alone does not say whether it is good."
        told = f"{read} on {test.on}; {test.instrument} has no minimum for {name}, so it is neither good nor bad yet"
        other = self.minimums.get((test.instrument_id, slot.wanted))
        return f"{told}. For the {slot.wanted} that is wanted it has one: {other:g}." if other else f"{told}."


def unjudged_of(held: Stock) -> Unjudged:
    """Those of the shelf (two queries where there are any)."""
    keys = [
        tube.pk for tube, untested in zip(held.tubes, held.untested.tolist(), strict=True)
        if untested and held.verdicts.get(tube.pk) == NOT_COMPARABLE
    ]  # fmt: skip
    if not keys:
        return Unjudged()
    rows = TubeTest.objects.filter(struck="", reading__isnull=False, tube__in=keys).order_by(*IN_TIME)
    tests = {row.tube_id: row for row in rows.select_related("instrument", "tube__item", "tube__type")}
    minimums = TypeMinimum.objects.filter(instrument__in={row.instrument_id for row in tests.values()})
    known = {(key, name): least for key, name, least in minimums.values_list("instrument", "type__name", "minimum")}
    return Unjudged(tests, known)
