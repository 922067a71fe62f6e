"""Lines of the pairing table for companions: each companion with its set, and each set whose companion is not here."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date

from inventory.pairing.models import Companion, CompanionCheck, CompanionKind
from inventory.pairing.queries.rows import COMPANION, End, PairFilter, PairRow, agrees, end_of, here
from inventory.pairing.rules.companions import (
    MATCHED,
    MATE_MISSING,
    NOT_MATCHED,
    UNKNOWN,
    CompanionFacts,
    Compared,
    state_of_companion,
)
from inventory.pairing.rules.events import Plate, Reason, moment_of_null
from inventory.sets.models import READ, UNREADABLE, Chassis


def companion_rows(on: date, chassis: Iterable[Chassis], only: int | None = None) -> list[PairRow]:
    """A line for each companion, and one for each set (``chassis_on`` that day) whose companion is not here.

    ``only``: the key of the one companion that is asked about.
    """
    of_model: dict[int, dict[int, Chassis]] = defaultdict(dict)
    for one in chassis:
        of_model[one.model_id][one.pk] = one
    checks: dict[int, list[Compared]] = defaultdict(list)
    compared = CompanionCheck.objects.filter(on__lte=on, struck="")
    for check in compared if only is None else compared.filter(companion=only):
        matched, moment = check.outcome == CompanionCheck.MATCHED, moment_of_null(check.on, check.at)
        checks[check.companion_id].append(Compared(check.chassis_id, matched, moment, check.by_whom))
    companions = here(Companion.objects.select_related("kind__set_model", "item"), on)
    rows: list[PairRow] = []
    spoken_for: set[tuple[int, int]] = set()
    unknown_of: set[int] = set()
    for companion in companions if only is None else companions.filter(pk=only):
        sets = of_model[companion.kind.set_model_id]
        row, mate = _companion_row(companion, sets, checks[companion.pk], on)
        rows.append(row)
        if mate is not None and row.state in (MATCHED, NOT_MATCHED):
            spoken_for.add((companion.kind_id, mate))
        if row.state == UNKNOWN:
            unknown_of.add(companion.kind_id)
    if only is not None:
        return rows
    return rows + _sets_without(CompanionKind.objects.all(), of_model, spoken_for, unknown_of)


def asks_for_companions(wanted: PairFilter) -> bool:
    """Whether lines of companions answer a question: none has a frequency, or is a plug-in unit."""
    return COMPANION in wanted.kinds and wanted.frequency_kc is None and wanted.unit_key is None


def narrowed(rows: Iterable[PairRow], wanted: PairFilter) -> list[PairRow]:
    """The lines of companions that a question is about."""
    return [
        row
        for row in rows
        if asks_for_companions(wanted)
        and agrees(wanted.chassis, row.chassis)
        and agrees(wanted.unit, row.unit)
        and wanted.chassis_key in (None, row.chassis.key)
        and (not wanted.states or row.state in wanted.states)
    ]


def _companion_row(
    companion: Companion, sets: Mapping[int, Chassis], compared: list[Compared], on: date
) -> tuple[PairRow, int | None]:
    facts = CompanionFacts(
        claims=Plate(companion.mate_serial, companion.mate_reading),
        sets={key: Plate(c.serial, c.serial_reading) for key, c in sets.items()},
        names={key: c.plate for key, c in sets.items()},
        kept_with=companion.kept_with_id,
        compared=compared,
    )
    answer = state_of_companion(facts, on)
    mate = sets.get(answer.chassis) if answer.chassis is not None else None
    far = end_of(mate) if mate else End(companion.kind.set_model.name, companion.mate_serial or None)
    number = companion.serial or companion.mate_serial
    tag, unread = companion.item.tag, UNREADABLE in (companion.serial_reading, companion.mate_reading)
    plate = number or f"{tag} ({'number unreadable' if unread else 'no number'})"
    near = End(companion.kind.name, number or None, tag, companion.pk, plate, UNREADABLE if unread else READ)
    return PairRow(COMPANION, far, near, answer.state, None, answer.reasons), answer.chassis


def _sets_without(
    kinds: Iterable[CompanionKind],
    of_model: Mapping[int, Mapping[int, Chassis]],
    spoken_for: set[tuple[int, int]],
    unknown_of: set[int],
) -> list[PairRow]:
    rows = []
    for kind in kinds:
        for key, chassis in of_model.get(kind.set_model_id, {}).items():
            if (kind.pk, key) in spoken_for:
                continue
            if kind.pk in unknown_of:
                state, text = UNKNOWN, f"No {kind.name} is known to be its own; one without a number is here."
            else:
                state, text = MATE_MISSING, f"Its {kind.name} is not here."
            reason = Reason(None, state if state == MATE_MISSING else "mate unknown", text)
            rows.append(PairRow(COMPANION, end_of(chassis), End(kind.name, None), state, None, (reason,)))
    return rows
