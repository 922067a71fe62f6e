"""Can this restoration start? Every line of a plan with how it stands, by what, and why."""

import copy
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from inventory.holdings.models import HazardMark, Item
from inventory.holdings.queries.hazard_grounds import HAZARD_FACTS, by_rule, grounds_beside
from inventory.holdings.rules.hazard_words import kinds_named
from inventory.house.areas import thing_columns
from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import Allotment, Asked, allotment
from inventory.restoration.queries.beside import Known, away_lines, beside_lines, known_beside
from inventory.restoration.queries.findings import findings_of, with_findings
from inventory.restoration.queries.lines import BAY, Line
from inventory.restoration.queries.stand_ins import with_stand_ins
from inventory.restoration.queries.stock import owed_words
from inventory.restoration.queries.tube_lines import tube_lines, tube_lines_of
from inventory.restoration.rules.cover import Count, count_of
from inventory.restoration.rules.words import COVERED
from inventory.sets.models import Chassis

LAST = 100  # behind every priority that a plan may have


@dataclass(frozen=True)
class Cover:
    """The answer for one plan, or for a set: its lines, positions first, and what they come to.

    ``of_set``: the set that was asked for; ``plan`` is then the open plan that it is in, or stands for it alone.
    """

    plan: Plan
    sets: tuple[Chassis, ...]
    lines: tuple[Line, ...]
    allotment: Allotment
    cautions: tuple[str, ...] = field(default=())
    of_set: Chassis | None = None

    @property
    def name(self) -> str:
        return str(self.of_set or self.plan)

    @property
    def within(self) -> Plan | None:
        """The open plan among whose lines a set that was asked for is counted; None where none has it."""
        return self.plan if self.of_set is not None and self.plan.pk else None

    @property
    def count(self) -> Count:
        return count_of([line.counted for line in self.lines])

    @property
    def text(self) -> str:
        """The answer in a sentence; of a finished plan, that it is and what it left open."""
        if not self.plan.is_finished:
            return self.count.text
        return " ".join([self.plan.finished_words, *self.plan.left])


def cover_of(plan: Plan, on: date, found: Allotment | None = None) -> Cover:
    """How every line of a plan stands, counted against what all other open plans want; one that is laid aside or
    finished as if it were taken up again, after all open plans.
    """
    rows = tuple(plan.sets.select_related("model", "item")) if plan.pk else ()
    sets = tuple(one for one in rows if one.item.gone_on is None)
    found = found or allotment(None if plan.is_open else Asked(_behind(plan), sets))
    return _covered(plan, sets, on, found, away=rows if plan.is_open else sets)


def covers_of(plans: Sequence[Plan], on: date, found: Allotment) -> dict[int, Cover]:
    """``cover_of`` of several open plans by their keys, without their cautions (a fixed number of queries).

    ``found``: of all open plans; sets and findings of the plans are at hand.
    """
    those = [(plan, tuple(one for one in plan.sets.all() if one.item.gone_on is None)) for plan in plans]
    known, tubes = known_beside(those, on, found.asking), tube_lines_of(plans, found)
    told = {}
    for plan, sets in those:
        lines = _lines(plan, sets, tuple(plan.sets.all()), found, tubes[plan.pk], known)
        told[plan.pk] = Cover(plan, sets, tuple(lines), found)
    return told


def _behind(plan: Plan) -> Plan:
    """The plan as one that is served after all open plans."""
    later = copy.copy(plan)
    later.priority = LAST
    return later


def cover_of_set(chassis: Chassis, on: date) -> Cover:
    """How the positions and belongings of a set stand: in the open plan that it is in, else judged as if it were
    planned, after all open plans.
    """
    plan = chassis.plans.filter(state__in=Plan.OPEN).order_by("priority", "name").first()
    if plan is not None:  # asked for once more beside its own plan, it would be refused what that has
        return _covered(plan, (chassis,), on, allotment(), chassis)
    plan = Plan(name=str(chassis), priority=LAST)
    plan.pk = 0  # no row: it only stands for the set among the plans
    return _covered(plan, (chassis,), on, allotment(Asked(plan, (chassis,))), chassis)


def _covered(
    plan: Plan, sets: Sequence[Chassis], on: date, found: Allotment, of_set: Chassis | None = None,
    away: Sequence[Chassis] | None = None,
) -> Cover:  # fmt: skip
    """``away``: the sets whose absence is told; None: ``sets``."""
    asking = found.asking
    if plan.pk not in {one.pk for one, _ in asking}:
        asking = (*asking, (plan, tuple(sets)))
    tubes, known = tube_lines(plan, found), known_beside([(plan, sets)], on, asking)
    judged = _lines(plan, sets, sets if away is None else away, found, tubes, known)
    return Cover(plan, tuple(sets), tuple(with_stand_ins(judged)), found, cautions_of(sets), of_set)


def _lines(
    plan: Plan, sets: Sequence[Chassis], away: Sequence[Chassis], found: Allotment, tubes: Sequence[Line], known: Known
) -> list[Line]:
    """All lines of a plan for some of its sets, with what was found at their checks."""
    here = {one.pk for one in sets}
    tubes = [line for line in tubes if line.chassis.pk in here]
    lines = [*away_lines(away), *tubes, *beside_lines(plan, sets, found.parts, known)]
    return with_findings([_owed(line, found) for line in lines], findings_of(plan), sets)


def _owed(line: Line, found: Allotment) -> Line:
    """A line that a plug-in unit covers which is here on loan: its owner is asked first."""
    if line.kind != BAY or line.status != COVERED or line.thing is None:
        return line
    asked = owed_words(line.thing.tag, found.stock.owed.get(line.thing.pk))
    return replace(line, entails=(*asked, *line.entails))


def cautions_of(sets: Iterable[Chassis]) -> tuple[str, ...]:
    """What can hurt in some sets: the words of their models, the hazards that are marked on them, and those that they
    are taken to bear by a rule and that the words do not name (a fixed number of queries).
    """
    sets = list(sets)
    rows = Item.objects.filter(pk__in=[one.pk for one in sets]).select_related(*thing_columns())
    items = {item.pk: item for item in rows.prefetch_related("hazards", HAZARD_FACTS)} if sets else {}
    beside = grounds_beside(items.values())
    told: list[str] = []
    for one in sets:
        item = items[one.pk]
        if one.model.caution:
            told.append(f"{one.model}: {one.model.caution}")
        for mark in item.hazards.all():
            if mark.standing != HazardMark.NONE_FOUND:
                why = f", {mark.reason}" if mark.reason else ""
                told.append(f"{one}: {mark.hazard} ({mark.get_standing_display()}){why}")
        named = {kind.words for kind in kinds_named(one.model.caution)}
        rules = [ground for ground in by_rule(item, beside.get(one.pk, ())) if ground.hazard not in named]
        told += [f"{one}: {ground.hazard} (by rule, not checked), {ground.text}" for ground in rules]
    return tuple(dict.fromkeys(told))


def _sets_called(text: str) -> list[Chassis]:
    """Sets here with that tag, else with that serial, else of that name."""
    rows = Chassis.objects.select_related("model", "item").filter(item__gone_on__isnull=True)
    tagged = list(rows.filter(item__tag__iexact=text)[:1])
    return tagged or list(rows.filter(serial=text)) or [one for one in rows if str(one).casefold() == text.casefold()]


def also_called(name: str, meant: Plan | Chassis) -> tuple[Chassis, ...]:
    """Sets that a name means as well where it was taken for a plan, and that are not in that plan."""
    if not isinstance(meant, Plan):
        return ()
    mine = {one.pk for one in meant.sets.all()}
    return tuple(one for one in _sets_called(name.strip().replace("\0", "")) if one.pk not in mine)


def plan_or_set(name: str) -> Plan | Chassis:
    """The plan of that name, or the set with that tag or serial. Raises ValueError naming what there is."""
    text = name.strip().replace("\0", "")
    if not text:
        raise ValueError("Name a plan, or a set by its tag or serial.")
    plans = list(Plan.objects.filter(name__iexact=text))
    if exact := [one for one in plans if one.name == text] or plans[: len(plans) == 1]:
        return exact[0]
    if plans:
        raise ValueError(f"{name!r} may be {' or '.join(one.name for one in plans)}; write it as it stands there.")
    found = _sets_called(text)
    if len(found) == 1:
        return found[0]
    if found:
        raise ValueError(f"{name!r} is the serial of {', '.join(one.tagged for one in found)}; give the tag.")
    known = ", ".join(Plan.objects.values_list("name", flat=True)[:12]) or "none yet"
    raise ValueError(f"No plan and no set here is called {name!r}; plans: {known}.")
