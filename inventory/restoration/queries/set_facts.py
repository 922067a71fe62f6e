"""What of a set decides which checks its start sheet asks for, from its positions, cautions, hazards and plan."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from django.db.models import prefetch_related_objects

from inventory.holdings.models import HazardMark
from inventory.holdings.queries.hazard_grounds import HAZARD_FACTS, by_rule, grounds_beside, mark_of, own_words
from inventory.holdings.queries.type_hazards import hazards_of_types
from inventory.holdings.rules.hazard_grounds import of_words
from inventory.holdings.rules.hazard_kinds import HAZARDS, OTHER
from inventory.holdings.rules.hazard_words import kinds_named
from inventory.restoration.models import Plan, WeakPart
from inventory.restoration.queries.lines import line_check, part_check
from inventory.restoration.rules.set_facts import HazardFacts, LineFacts, SetFacts, SocketFacts, WeakFacts
from inventory.restoration.rules.weak import LEAVE, MEANS
from inventory.sets.models import Chassis
from inventory.sets.queries import SocketRow, sockets_of
from inventory.sets.queries.mercury import mercury_in
from tubes.queries.judging import Court, court
from tubes.rules.figures import MERCURY
from tubes.rules.judge_heater import EMITTER_OF, tolerance_of

_USUAL = {kind.words: kind.usual for kind in HAZARDS}


def facts_of(plan: Plan, chassis: Chassis) -> tuple[SetFacts, list[SocketRow]]:
    """The facts of a set in a plan, and its positions with what is in them (a fixed number of queries)."""
    judges = court()
    rows = sockets_of(chassis, judges.known)
    mercury = mercury_in(rows, chassis.model, judges.known)
    weak = WeakPart.objects.filter(set_model=chassis.model_id).prefetch_related("said")
    own = plan.requirements.filter(struck="", before_power=True, done_on__isnull=True, weak__isnull=True)
    lines = [LineFacts(row.words, line_check(row)) for row in own if row.chassis_id in (None, chassis.pk)]
    facts = SetFacts(
        chassis.model.kind,
        tuple(_socket(row, judges) for row in rows),
        _hazards(chassis, rows),
        tuple(_weak(part) for part in weak if part.standing.acts_as != LEAVE),
        tuple(lines),
        " ".join((mercury.text, *mercury.told)) if mercury else "",
        (mercury.source_title or mercury.source) if mercury else "",
        no_tubes=chassis.model.no_tubes,
        supply_v=chassis.model.filament_supply_v,
    )
    return facts, rows


def _weak(part: WeakPart) -> WeakFacts:
    """A weak part with what the words on it come to, on whose word."""
    found = part.standing
    said = found.differs_words or ("" if not found.words else f"{MEANS[found.acts_as]}, by what is said of this model")
    sources = dict.fromkeys(filter(None, (part.source, *(word.source for word in found.words))))
    return WeakFacts(str(part), part.why, "; ".join(sources), part_check(part), said)


def _socket(row: SocketRow, judges: Court) -> SocketFacts:
    position = row.position
    wanted = position.type.name if position.type else ""
    held = row.fitting.tube.type.name if row.fitting and row.fitting.tube.type else ""
    figures = [judges[name] for name in (wanted, held) if name]
    rated = judges[wanted].numbers.get("heater_v") if wanted else None
    return SocketFacts(
        position.mark, wanted, held,
        frozenset(word for one in figures if (word := one.word("kind"))),
        any(judges[name].filling == MERCURY for name in ((held,) if row.stand_ins else (wanted, held)) if name),
        position.heater_v or (rated.value if rated else None),
        position.plate_v, position.heater_branch, position.neutralized, *_heater_off(wanted, judges),
        _value(judges, wanted, "regulation_v"), ", ".join(one.row.instead for one in row.stand_ins),
        "; ".join(text for one in row.stand_ins for text in one.changes),
    )  # fmt: skip


def _value(judges: Court, name: str, figure: str) -> float | None:
    """A figure of a type; None where it is not known."""
    found = judges[name].numbers.get(figure) if name else None
    return found.value if found else None


def _heater_off(wanted: str, judges: Court) -> tuple[float | None, str]:
    """By how many per cent the heater voltage of a type may be off, and on whose word; (None, "") where none says."""
    cathode = (judges[wanted].word("cathode") if wanted else "") or ""
    tolerance = tolerance_of(cathode, judges.limits)
    if tolerance is None:
        return None, ""
    row = judges.limits.row(f"judge.heater_care_low_pct.{EMITTER_OF[cathode]}")
    return min(tolerance.care_low, tolerance.care_high), row.source_told


def _hazards(chassis: Chassis, rows: Sequence[SocketRow]) -> tuple[HazardFacts, ...]:
    """Hazards marked on the set or named by a caution of its model, of types it wants, of tubes in it; and those that
    it is taken to bear by a rule, as its label says.
    """
    prefetch_related_objects([chassis.item], "hazards", HAZARD_FACTS)
    marks = list(chassis.item.hazards.all())
    ruled_out = {name for mark in marks if mark.standing == HazardMark.NONE_FOUND for name in mark_of(mark).names}
    told: dict[str, list[str]] = defaultdict(list)
    for mark in marks:
        if mark.standing != HazardMark.NONE_FOUND:
            for words in mark_of(mark).names:
                words = mark.reason if words == OTHER and mark.reason else words
                told[words].append(f"{mark.get_standing_display()}{f', {mark.reason}' if mark.reason else ''}")
    for ground in by_rule(chassis.item, grounds_beside([chassis.item]).get(chassis.item_id, ())):
        told[ground.hazard].append(f"by rule, not checked: {ground.text}")
    for words in _named(chassis.model.caution):
        if words not in ruled_out:
            told[words].append(f"named in the caution of {chassis.model}")
    for words, places in _of_tubes(rows).items():
        told[words].append(f"tube in {', '.join(places)}")
    return tuple(HazardFacts(words, "; ".join(several), _USUAL.get(words, "")) for words, several in told.items())


def _named(caution: str) -> Iterable[str]:
    return (kind.words for kind in kinds_named(caution))


def _of_tubes(rows: Sequence[SocketRow]) -> dict[str, list[str]]:
    """Marks of positions by hazard: what the types wanted and the tubes fitted bear."""
    fitted = {row.fitting.tube_id: row.position.mark for row in rows if row.fitting}
    found: dict[str, list[str]] = defaultdict(list)
    known = hazards_of_types()
    for row in rows:
        wanted = None if row.stand_ins else row.position.type  # no such tube is in a socket that holds a stand-in
        types = [wanted, row.fitting.tube.type if row.fitting else None]
        named = {words for kind in types if kind for words in _named(kind.caution)}
        named |= {ground.hazard for kind in types if kind for ground in known.get(kind.name, ())}
        if row.fitting:
            named |= {ground.hazard for ground in of_words(own_words(row.fitting.tube))}
        for words in sorted(named):
            found[words].append(row.position.mark)
    marks = HazardMark.objects.filter(item__in=list(fitted)).exclude(standing=HazardMark.NONE_FOUND)
    for mark in marks:
        for words in mark_of(mark).names:
            if fitted[mark.item_id] not in found[words]:
                found[words].append(fitted[mark.item_id])
    return found


def ruled_out(chassis: Chassis) -> list[HazardMark]:
    """Hazards that were looked for on a set and not found."""
    return [mark for mark in chassis.item.hazards.all() if mark.standing == HazardMark.NONE_FOUND]
