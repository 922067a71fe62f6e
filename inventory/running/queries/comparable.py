"""Tubes whose last readings compare with one another, whatever is made of that."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.house.keys import in_parts
from inventory.running.models import TubeTest
from inventory.running.queries.order import IN_TIME
from inventory.running.rules.matching import PLAIN, in_words
from inventory.running.rules.settings import UNSAID, plain_settings


@dataclass(frozen=True)
class Compared:
    """Tubes whose last readings compare: one instrument, the same sections, no settings that differ.

    ``tubes``: by key, the readings; ``days``: of each the day.
    """

    instrument: str
    names: tuple[str, ...]
    tubes: Mapping[int, tuple[float, ...]]
    days: Mapping[int, date]

    @property
    def words(self) -> str:
        """On which instrument, and what was read where that is not the one reading there is."""
        return self.instrument if self.names == (PLAIN,) else f"{self.instrument}, {in_words(self.names)}"


def comparable(keys: Iterable[int]) -> list[Compared]:
    """The last plain readings of some tubes, in groups that compare (one query, and one more for each ``AT_ONCE``).

    A tube stands in the group of every instrument on which it was read; where settings were written down and differ,
    one that says nothing of them stands in the group of each.
    """
    last: dict[tuple[int, int], list[TubeTest]] = {}  # by tube and instrument, the tests of the last day
    for some in in_parts(keys):
        rows = TubeTest.objects.filter(tube__in=some, struck="", reading__gt=0).select_related("instrument")
        for test in rows.order_by(*IN_TIME):
            tests = last.setdefault((test.tube_id, test.instrument_id), [])
            if tests and tests[-1].on != test.on:
                tests.clear()
            tests.append(test)
    alike: dict[tuple[str, tuple[str, ...]], list[tuple[int, dict[str, TubeTest]]]] = {}
    for (tube, _), tests in last.items():
        read = {test.section or PLAIN: test for test in tests}
        names = tuple(sorted(read))
        if len(names) <= 2:
            alike.setdefault((tests[-1].instrument.name, names), []).append((tube, read))
    return [
        Compared(
            instrument, names, {tube: tuple(float(read[name].reading or 0) for name in names) for tube, read in some},
            {tube: max(test.on for test in read.values()) for tube, read in some},
        )
        for (instrument, names), tubes in sorted(alike.items(), key=lambda one: one[0])
        for some in _set_alike(tubes)
    ]  # fmt: skip


def _set_alike(tubes: Sequence[tuple[int, dict[str, TubeTest]]]) -> list[list[tuple[int, dict[str, TubeTest]]]]:
    """The tubes in groups of the same settings; where nothing was written down, that speaks for none of them."""
    groups: dict[Any, list[tuple[int, dict[str, TubeTest]]]] = {}
    for tube, read in tubes:
        groups.setdefault(tuple(plain_settings(read[name].set_to) for name in sorted(read)), []).append((tube, read))
    said = [some for settings, some in groups.items() if set(settings) != {UNSAID}]
    unsaid = [one for settings, some in groups.items() if set(settings) == {UNSAID} for one in some]
    return [[*some, *unsaid] for some in said] or [unsaid]
