"""Questions about the tests of tubes together: what the last of them say, and what speaks against a good one."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from inventory.holdings.models import Tube
from inventory.house.concerns import Doubt
from inventory.house.keys import in_parts
from inventory.running.models import TubeTest
from inventory.running.queries.verdicts import TestLine, judged, test_list, with_tubes
from inventory.running.rules.gas import CLEAR, OVER, TOLD, leaks
from inventory.running.rules.verdicts import (
    GAS,
    GAS_TOLD,
    LEAKAGE,
    OTHER_SECTION,
    REJECT,
    Verdict,
    against,
    whole_tube,
)

Named = TypeVar("Named", int, str)  # tubes by key, or by tag


def verdicts_of(tubes: Iterable[Tube]) -> dict[int, str]:
    """The verdict of the last tests of each of these tubes, as on its page, by key; those never tested are left out.

    Queries: those of ``told_of_many``.
    """
    told = told_of_many(tube.pk for tube in tubes)
    return {key: one.verdict.verdict for key, one in told.items()}


@dataclass(frozen=True)
class Told:
    """What the last tests of a tube say together. ``against``: what speaks against it, in a word; empty: nothing."""

    lines: tuple[TestLine, ...]
    verdict: Verdict
    against: str
    on: date


def told_of_many(keys: Iterable[int]) -> dict[int, Told]:
    """What the last tests of each of these tubes say, by key; those never tested are left out.

    A fixed number of queries, and a few more for each further ``AT_ONCE`` tubes; only tests of these tubes are read.
    """
    rows = test_list().filter(struck="")
    tests = [row for some in in_parts(keys) for row in with_tubes(rows.filter(tube__in=some))]
    return told_by(of_each_tube(judged(tests) if tests else ()))


def of_each_tube(lines: Iterable[TestLine]) -> dict[int, list[TestLine]]:
    found: dict[int, list[TestLine]] = {}
    for line in lines:
        found.setdefault(line.test.tube_id, []).append(line)
    return found


def told_by(by_tube: Mapping[Named, Sequence[TestLine]]) -> dict[Named, Told]:
    """As above, of judged tests by tube, the latest first."""
    told = ((key, _told(lines)) for key, lines in by_tube.items())
    return {key: one for key, one in told if one is not None}


def is_good_one_of(tube: Tube, other: Tube) -> bool:
    alike = other.type_id is not None and other.type_id == tube.type_id
    return alike and other.state == Tube.GOOD and other.item.gone_on is None


def _told(lines: Sequence[TestLine]) -> Told | None:
    latest = latest_of(lines)
    verdict = held_back(whole_of(latest, lines), latest, lines)
    if verdict is None:
        return None
    doubt = doubt_of(lines) if verdict.verdict != REJECT else None
    on = doubt[0].test.on if doubt else latest[0].test.on
    return Told(tuple(lines), verdict, against(verdict, shorted=shorted_now(latest)), on)


def doubt_in(lines: Sequence[TestLine]) -> Doubt | None:
    """What speaks against a tube by its judged tests, the latest first; None where nothing does."""
    told = _told(lines)
    return Doubt(told.against, told.on) if told and told.against else None


def doubts_of(keys: Iterable[int]) -> dict[int, Doubt]:
    """What the last tests of some tubes say against them, by key, whatever the keeper calls them (as above)."""
    return {key: Doubt(one.against, one.on) for key, one in told_of_many(keys).items() if one.against}


def latest_of(lines: Sequence[TestLine]) -> tuple[TestLine, ...]:
    """The last tests: of the last day and instrument on which it was tested, one a section."""
    counting = [line for line in lines if line.verdict]
    if not counting:
        return ()
    top = counting[0].test
    by_section: dict[str, TestLine] = {}
    for line in counting:
        if (line.test.on, line.test.instrument_id) == (top.on, top.instrument_id):
            by_section.setdefault(line.test.section, line)
    return tuple(by_section[name] for name in sorted(by_section))


def whole_of(latest: Sequence[TestLine], lines: Sequence[TestLine]) -> Verdict | None:
    """The verdict on the whole tube; a section that it has, or that was ever read, and is not among them is missing."""
    found = {line.test.section: line.verdict for line in latest if line.verdict}
    if not found:
        return None
    ever = {line.test.section for line in lines if line.verdict and line.test.section} if any(found) else set()
    return whole_tube(found, tuple(sorted({*found, *ever, *_other_sections(latest, ever)})))


PAIR = frozenset({"1", "2"})  # how the sections of a double tube are numbered


def _other_sections(latest: Sequence[TestLine], ever: Collection[str]) -> frozenset[str]:
    """The section of a double tube that was never read beside the one that was."""
    if len(ever) != 1 or not any(line.double for line in latest):
        return frozenset()
    return PAIR.difference(ever) if PAIR.issuperset(ever) else frozenset({OTHER_SECTION})


def held_back(verdict: Verdict | None, latest: Sequence[TestLine], lines: Sequence[TestLine]) -> Verdict | None:
    """The verdict with what an earlier test found of gas or shorts and no later one looked at again."""
    if verdict is None:
        return None
    last = {line.test.pk for line in latest}
    for looked_for in (_leakage_in, _gas_in):
        earlier = (found for found in _unsettled(lines, looked_for) if found[0].test.pk not in last)
        if found := next(earlier, None):
            line, doubt = found
            seen = f"On {line.test.on} {doubt} was found, and nobody looked again since."
            verdict = verdict.doubted(doubt, f"{seen} It is borderline at best.")
    return verdict


def doubt_of(lines: Sequence[TestLine]) -> tuple[TestLine, str] | None:
    """What the tests of a tube, the latest first, leave in doubt: shorts or leakage, else gas; and in which test."""
    found = (one for looked_for in (_leakage_in, _gas_in) for one in _unsettled(lines, looked_for))
    return next(found, None)


def _unsettled(
    lines: Sequence[TestLine], looked_for: Callable[[TestLine], str | None]
) -> Iterator[tuple[TestLine, str]]:
    """Findings of one kind that no later test cleared, the latest first."""
    looked: set[str] = set()  # sections that a later test looked at; "": the whole tube
    for line in lines:
        if not line.verdict or (doubt := looked_for(line)) is None:
            continue
        section = line.test.section
        if doubt and not (section in looked or "" in looked or (not section and looked)):
            yield line, doubt
        looked.add(section)


def _gas_in(line: TestLine) -> str | None:
    """The doubt that a test of gas leaves, "" none; None where nobody looked."""
    return {OVER: GAS, TOLD: GAS_TOLD, CLEAR: ""}.get(line.verdict.gas) if line.verdict else None


def _leakage_in(line: TestLine) -> str | None:
    """As above, of shorts and leakage."""
    if line.test.shorts == TubeTest.FOUND or leaks(line.test.shorts_words):
        return LEAKAGE
    return None if line.test.shorts == TubeTest.NOT_DONE else ""


def rejects_among(lines: Sequence[TestLine]) -> int:
    """Days in a row, up to the last, on which it was tested and read below its limit."""
    worst: dict[date, bool] = {}
    for line in lines:
        if line.verdict:
            worst[line.test.on] = worst.get(line.test.on, False) or line.word == REJECT
    count = 0
    for rejected in worst.values():
        if not rejected:
            break
        count += 1
    return count


def shorted_now(latest: Sequence[TestLine]) -> bool:
    return any(line.test.shorts == TubeTest.FOUND for line in latest)
