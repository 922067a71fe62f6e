"""Questions about matching: which tubes of a type make sets, which sets are kept together."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet

from inventory.holdings.models import Item, Tube
from inventory.house.concerns import claims_on_many
from inventory.running.models import Instrument, MatchedSet, MatchedTube, TubeTest
from inventory.running.queries.order import IN_TIME, LATEST_FIRST
from inventory.running.queries.together import doubt_of, told_by
from inventory.running.queries.verdicts import TestLine, judged
from inventory.running.rules.matching import (
    LONG_AGO,
    PLAIN,
    REDUCED,
    Balance,
    MatchedTubes,
    Matching,
    MatchRefused,
    ReadingOf,
    balance,
    candidates,
    in_words,
    match,
)
from inventory.running.rules.settings import differ
from inventory.running.rules.verdicts import GAS, LEAKAGE, REJECT
from inventory.running.rules.words import TOLERANCE_PCT
from inventory.sets.models import Fitting
from inventory.sets.queries import open_fittings
from tubes.models import TubeType
from tubes.queries import knowledge
from tubes.queries.judging import limits
from tubes.rules.limits import Limit


@dataclass(frozen=True)
class MatchLine:
    """A set that was found. ``tests``: of each tube that of its first reading; ``behind``: every test it rests on.

    ``gas``: by tag, what the last test of gas says of a tube.
    """

    found: MatchedTubes
    tests: tuple[TubeTest, ...]
    behind: tuple[TubeTest, ...]
    gas: Mapping[str, str] = field(default_factory=dict)

    @property
    def settings_differ(self) -> bool:
        """Whether readings that were compared were taken at different settings of the instrument."""
        sections = {test.section for test in self.behind}
        return any(differ(test.set_to for test in self.behind if test.section == one) for one in sections)

    @property
    def rows(self) -> list[tuple[TubeTest, tuple[float, ...], str]]:
        """Each tube's test, the one or two figures by which it was matched, and what was last said of its gas."""
        gas = [self.gas.get(tag, "") for tag in self.found.tags]
        return list(zip(self.tests, self.found.readings, gas, strict=True))


@dataclass(frozen=True)
class MatchAnswer:
    """Which tubes make sets, which are left over, which could not take part and why.

    ``names``: what was compared; ``beside``: other sections that were read and not compared; ``balances``: sections of
    each double tube against each other; ``doubted``: tubes with shorts, leakage, gas above its limit or a
    reading below the limit that were left out for it, and why; ``rejects``: those of them for the reading alone.
    """

    type: TubeType
    instrument: Instrument
    matching: Matching
    lines: tuple[MatchLine, ...]
    left_out: tuple[tuple[str, str], ...]
    balances: tuple[tuple[str, Balance], ...]
    names: tuple[str, ...]
    beside: tuple[str, ...]
    tolerance: float
    limit: Limit | None
    doubted: tuple[tuple[str, str], ...] = ()
    rejects: frozenset[str] = frozenset()

    @property
    def compared(self) -> str:
        """What was compared, in words; empty where there is but the one reading."""
        return "" if self.names == (PLAIN,) else in_words(self.names)

    @property
    def notes(self) -> tuple[str, ...]:
        """What is told beside the sets: sections that were not compared, tubes that were left out."""
        told = []
        if self.beside:
            read = in_words(self.beside)
            were = "was" if len(self.beside) == 1 else "were"
            told.append(f"{read.capitalize()} {were} read too and not compared: choose the sections to match by both.")
        if count := len(self.doubted):
            tubes = "1 tube is" if count == 1 else f"{count} tubes are"
            tags = [tag for tag, _ in self.doubted]
            below = self.rejects.intersection(tags)
            why = ["gas, shorts or leakage"] if len(below) < count else []
            why += ["a reading below the limit"] if below else []
            told.append(f"{tubes} left out for {' or for '.join(why)}: {', '.join(tags)}.")
        return tuple(told)

    def as_dict(self) -> dict[str, Any]:
        """As ``Matching.as_dict``; with ``not_compared``, ``doubted``, ``gas``, ``notes`` where there is such."""
        gas = {tag: words for line in self.lines for tag, words in line.gas.items()}
        more = {
            "not_compared": list(self.beside),
            "doubted": [{"tag": tag, "why": why} for tag, why in self.doubted],
            "gas": gas,
            "notes": list(self.notes),
        }
        return self.matching.as_dict() | {key: value for key, value in more.items() if value}


def reading_names(kind: TubeType, instrument: Instrument) -> list[str]:
    """What was read of tubes of a type on an instrument: the plain reading, sections, with reduced filament."""
    return _read_names(knowledge().kin.same_as(kind.name), instrument)


def _read_names(same: frozenset[str], instrument: Instrument) -> list[str]:
    rows = TubeTest.objects.filter(instrument=instrument, tube__type__name__in=same, struck="")
    sections = rows.filter(reading__isnull=False).order_by("section").values_list("section", flat=True).distinct()
    names = [section or PLAIN for section in sections]
    return names + ([REDUCED] if rows.filter(reduced__isnull=False).exists() else [])


def every_reading_name() -> list[str]:
    """What was read of tubes of any type on any instrument."""
    rows = TubeTest.objects.filter(struck="", reading__isnull=False)
    sections = rows.order_by("section").values_list("section", flat=True).distinct()
    return [PLAIN, *(section for section in sections if section), REDUCED]


def match_tubes(
    kind: TubeType,
    instrument: Instrument,
    on: date,
    *,
    size: int = 2,
    tolerance: float | None = None,
    days: int | None = None,
    first: str = "",
    second: str = "",
    shelf_only: bool = False,
    with_doubted: bool = False,
) -> MatchAnswer:
    """Sets of tubes of a type by their last readings on one instrument. Raises MatchRefused for what cannot be asked.

    ``days``: only readings of that many days; ``first`` and ``second``: which reading (see ``reading_names``).
    ``with_doubted``: also tubes with gas above its limit, with leakage in words, or rejected by their last test.
    """
    same = knowledge().kin.same_as(kind.name)
    there = _read_names(same, instrument)
    names = _names(kind, there, instrument, first, second)
    beside = tuple(name for name in there if name not in (*names, PLAIN, REDUCED))
    since = on - timedelta(days=days) if days else LONG_AGO
    tests, bound, shorted = _tests(same, instrument, on, shelf_only), *_bound(same, on)
    lines_of = _lines_of(same, on)
    gassy, gas = _gas_of(lines_of)
    rejects = _rejects_among(lines_of)
    doubted = shorted if with_doubted else {**rejects, **gassy, **shorted}
    bound = {**doubted, **bound}
    read = [reading for test in tests for reading in _readings_of(test)]
    found, left_out = candidates([one for one in read if one.tag not in bound], names, since, on)
    limit = limits().row(TOLERANCE_PCT) if tolerance is None else None
    wanted = limit.value if limit else float(tolerance or 0.0)
    matching = match(found, size, wanted)
    used = [_used(tests, name, since) for name in names]
    lines = tuple(_line(one, used, gas) for one in matching.sets)
    here = {test.tube.tag for test in tests}
    told = tuple(sorted({**left_out, **{tag: why for tag, why in bound.items() if tag in here}}.items()))
    apart = _balances(read, since, wanted)
    doubts = tuple((tag, why) for tag, why in told if doubted.get(tag) == why)
    return MatchAnswer(
        kind, instrument, matching, lines, told, apart, names, beside, wanted, limit, doubts,
        frozenset(tag for tag, why in doubts if rejects.get(tag) == why),
    )  # fmt: skip


def _line(found: MatchedTubes, used: Sequence[dict[str, TubeTest]], gas: Mapping[str, str]) -> MatchLine:
    behind = {tests[tag].pk: tests[tag] for tests in used for tag in found.tags}
    told = {tag: gas[tag] for tag in found.tags if tag in gas}
    return MatchLine(found, tuple(used[0][tag] for tag in found.tags), tuple(behind.values()), told)


def _names(kind: TubeType, there: Sequence[str], instrument: Instrument, first: str, second: str) -> tuple[str, ...]:
    for name in (first, second):
        if name and name not in there:
            known = ", ".join(there) or "none yet"
            raise MatchRefused(f"{name!r} was never read on {instrument}; of a {kind} there are: {known}")
    first = first or next((name for name in there if name != second), PLAIN)
    return (first, second) if second and second != first else (first,)


def _tests(same: frozenset[str], instrument: Instrument, on: date, shelf_only: bool) -> list[TubeTest]:
    """The tests of tubes of a type that are here."""
    rows = TubeTest.objects.filter(
        instrument=instrument, tube__type__name__in=same, struck="", on__lte=on, tube__item__gone_on__isnull=True
    ).select_related("tube__item__place", "tube__type", "instrument")
    rows = rows.annotate(is_fitted=Exists(open_fittings().filter(tube=OuterRef("tube"))))
    if shelf_only:
        rows = rows.filter(is_fitted=False, tube__item__lent_to="", tube__item__missed_on__isnull=True)
    return list(rows.order_by(*IN_TIME))


def _bound(same: frozenset[str], on: date) -> tuple[dict[str, str], dict[str, str]]:
    """Tubes of a type that take no part whatever was read, by tag why: duds and those in a set already; the shorted.

    Shorts count on any instrument: the last test of each section decides.
    """
    tests = TubeTest.objects.filter(tube__type__name__in=same, struck="", on__lte=on, tube__item__gone_on__isnull=True)
    columns = ("tube__item__tag", "section", "shorts", "on", "instrument__name")
    last = {(tag, section): rest for tag, section, *rest in tests.order_by(*IN_TIME).values_list(*columns)}
    shorted = {
        tag: f"shorted on {day}, found on {where}"
        for (tag, _), (shorts, day, where) in last.items()
        if shorts == TubeTest.FOUND
    }
    duds = Tube.objects.filter(type__name__in=same, state=Tube.DUD).values_list("item__tag", flat=True)
    bound = dict.fromkeys(duds, "a dud by the keeper's word")
    members = MatchedTube.objects.filter(matched_set__split_on__isnull=True, tube__type__name__in=same)
    rows = members.select_related("tube__item", "matched_set")
    bound |= {row.tube.tag: f"it is in {row.matched_set}" for row in rows}
    items = Item.objects.filter(tube__type__name__in=same, gone_on__isnull=True)
    tags = dict(items.values_list("pk", "tag"))
    claims = {tags[key]: "; ".join(texts) for key, texts in claims_on_many(list(items)).items()}
    return claims | bound, shorted


def _lines_of(same: frozenset[str], on: date) -> dict[str, list[TestLine]]:
    """The tests of tubes of a type that are here, on any instrument, judged, by tag, the latest first."""
    tests = TubeTest.objects.filter(tube__type__name__in=same, struck="", on__lte=on, tube__item__gone_on__isnull=True)
    tubes: dict[str, list[TestLine]] = {}
    for line in judged(tests.select_related("tube__item", "tube__type", "instrument").order_by(*LATEST_FIRST)):
        tubes.setdefault(line.test.tube.tag, []).append(line)
    return tubes


def _gas_of(tubes: Mapping[str, Sequence[TestLine]]) -> tuple[dict[str, str], dict[str, str]]:
    """By tag: which tubes have gas above its limit or leakage in words, and why; what was last said of gas of each.

    Gas that is told and cannot be judged is said beside the tube, which takes part.
    """
    why, said = {}, {}
    for tag, lines in tubes.items():
        if told := next((line for line in lines if line.verdict and line.verdict.gas_text), None):
            said[tag] = f"{told.test.on}: {told.verdict.gas_text}" if told.verdict else ""
        found = doubt_of(lines)
        if found and found[1] in (GAS, LEAKAGE):
            line, doubt = found
            words = line.test.shorts_words or "found" if doubt == LEAKAGE else f"{line.test.gas}, above its limit"
            why[tag] = f"{doubt} on {line.test.on}, on {line.test.instrument}: {words}"
    return why, said


def _rejects_among(tubes: Mapping[str, Sequence[TestLine]]) -> dict[str, str]:
    """Which tubes have a section that read below its limit in their last tests, by tag, and why."""
    found = {}
    for tag, told in told_by(tubes).items():
        if told.verdict.verdict == REJECT:
            words = next((reason for reason in told.verdict.reasons if REJECT in reason), told.verdict.reasons[0])
            found[tag] = f"reject on {told.on}, on {told.lines[0].test.instrument}: {words}"
    return found


def _readings_of(test: TubeTest) -> list[ReadingOf]:
    shorted = test.shorts == TubeTest.FOUND
    name = test.section or PLAIN
    found = []
    if test.reading is not None or shorted:
        found.append(ReadingOf(test.tube.tag, test.instrument.name, name, test.on, test.reading, shorted))
    if test.reduced is not None:
        found.append(ReadingOf(test.tube.tag, test.instrument.name, REDUCED, test.on, test.reduced))
    return found


def figure_of(test: TubeTest, name: str) -> float | None:
    """The figure of that name (see ``reading_names``) which a test holds; None where it holds none."""
    if name == REDUCED:
        return test.reduced
    return test.reading if name == (test.section or PLAIN) else None


def _used(tests: Iterable[TubeTest], name: str, since: date) -> dict[str, TubeTest]:
    """The last test of each tube that the reading of a name was taken from."""
    return {test.tube.tag: test for test in tests if test.on >= since and figure_of(test, name)}


def _balances(read: Sequence[ReadingOf], since: date, tolerance: float) -> tuple[tuple[str, Balance], ...]:
    sections: dict[str, dict[str, float]] = {}
    for one in read:
        if one.name not in (PLAIN, REDUCED) and one.day >= since and one.figure:
            sections.setdefault(one.tag, {})[one.name] = one.figure
    return tuple((tag, balance(both, tolerance)) for tag, both in sorted(sections.items()) if len(both) > 1)


# --- sets that were made ----------------------------------------------------------------------------------------------


def matched_sets() -> QuerySet[MatchedSet]:
    """Matched sets, the latest first, with their tubes."""
    beside = ("members__tube__item__place", "members__tube__type", "members__test", "members__second")
    rows = MatchedSet.objects.select_related("instrument").prefetch_related(*beside)
    return rows.order_by(F("split_on").desc(nulls_first=True), "-made_on", "-pk")


def mates_of_many(items: Iterable[Item]) -> dict[int, list[str]]:
    """The tubes matched with some things, in words by the thing's key; those among the things stay together with it."""
    keys = {item.pk for item in items}
    sets = MatchedSet.objects.filter(members__tube__in=keys, split_on__isnull=True)
    rows = MatchedTube.objects.filter(matched_set__in=sets).select_related("matched_set", "tube__item", "tube__type")
    by_set: dict[int, list[MatchedTube]] = {}
    for row in rows.order_by("pk"):
        by_set.setdefault(row.matched_set_id, []).append(row)
    told = {}
    for members in by_set.values():
        others = [
            f"{row.tube.tag} ({row.tube.type or row.tube.marked}, {row.matched_set})"
            for row in members
            if row.tube_id not in keys
        ]
        told.update({row.tube_id: others for row in members if row.tube_id in keys and others})
    return told


@dataclass(frozen=True)
class Whereabouts:
    """Where each tube of a matched set is. ``apart``: not in one set or place; None: not known of all."""

    tubes: tuple[tuple[Tube, str], ...]
    apart: bool | None

    @property
    def text(self) -> str:
        """Where each is, in one line."""
        return "; ".join(f"{tube.tag} {where}" for tube, where in self.tubes)


def whereabouts(rows: Iterable[MatchedSet]) -> dict[int, Whereabouts]:
    """Where the tubes of some matched sets are now, by the key of the set (two queries, however many sets)."""
    members = MatchedTube.objects.filter(matched_set__in=list(rows)).select_related("tube__item__place", "tube__type")
    tubes: dict[int, list[Tube]] = {}
    for one in members.order_by("pk"):
        tubes.setdefault(one.matched_set_id, []).append(one.tube)
    keys = [tube.pk for some in tubes.values() for tube in some]
    stays = open_fittings().filter(tube__in=keys).select_related("chassis__model", "chassis__item", "position")
    fitted = {fitting.tube_id: fitting for fitting in stays}
    return {key: _whereabouts([(tube, fitted.get(tube.pk)) for tube in some]) for key, some in tubes.items()}


def _whereabouts(tubes: Sequence[tuple[Tube, Fitting | None]]) -> Whereabouts:
    found = [(tube, *_where(tube.item, fitting)) for tube, fitting in tubes]
    homes = {home for *_, home in found}
    apart = None if "" in homes and len(homes - {""}) < 2 else len(homes) > 1
    return Whereabouts(tuple((tube, words) for tube, words, _ in found), apart)


def _where(item: Item, fitting: Fitting | None) -> tuple[str, str]:
    """Where a tube is in words, and what two tubes that are together have alike; empty: its place is not known."""
    if item.gone_on:
        return f"left the collection on {item.gone_on}", f"gone {item.pk}"
    if item.lent_to:
        return f"lent to {item.lent_to}", f"lent {item.lent_to}"
    if fitting:
        return f"in {fitting.chassis} {fitting.position.mark}", f"set {fitting.chassis_id}"
    if item.missed_on:
        return f"not found at the stock-take of {item.missed_on}", ""
    if item.place:
        return f"in {item.place.path}", f"place {item.place.path}"
    return "has no place on record", ""


def whereabouts_of(item: Item) -> list[tuple[MatchedSet, Whereabouts]]:
    """The matched sets that a thing is in, not split, and where their tubes are."""
    rows = list(MatchedSet.objects.filter(members__tube=item.pk, split_on__isnull=True).order_by("pk"))
    found = whereabouts(rows)
    return [(row, found[row.pk]) for row in rows]


def mates_in_words(item: Item) -> list[str]:
    """The tubes that are matched with a thing."""
    return mates_of_many([item]).get(item.pk, [])
