"""The pairing table: chassis page, unit page, table, command and API all ask ``pairing_table``."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from inventory.pairing.queries.companions import asks_for_companions, companion_rows, narrowed
from inventory.pairing.queries.ledger import Ledger, ledger_up_to
from inventory.pairing.queries.rows import UNIT, End, PairFilter, PairRow, agrees, chassis_on, end_of, here
from inventory.pairing.rules.events import Plate
from inventory.pairing.rules.fold import PairFacts, state_of_pair
from inventory.sets.models import Chassis, PlugInUnit, UnitModel


def pairing_table(
    on: date, wanted: PairFilter | None = None, chassis: Sequence[Chassis] | None = None
) -> list[PairRow]:
    """All pairs that go together, with their state at the end of the day ``on`` and why.

    A fixed number of queries, however many pairs there are. Ordered by chassis, then by unit. ``chassis``: those of
    ``chassis_on`` that day, where the caller has them already.
    """
    wanted = wanted or PairFilter()
    if chassis is None:
        of_the_key = {} if wanted.chassis_key is None or asks_for_companions(wanted) else {"pk": wanted.chassis_key}
        chassis = list(chassis_on(on).filter(**of_the_key))
    rows: list[PairRow] = []
    if UNIT in wanted.kinds and wanted.companion_key is None:
        rows += _unit_rows(on, wanted, chassis)
    if asks_for_companions(wanted):
        rows += narrowed(companion_rows(on, chassis, wanted.companion_key), wanted)
    return in_order(rows)


def in_order(rows: Iterable[PairRow]) -> list[PairRow]:
    """Lines as they stand in the table."""
    return sorted(rows, key=lambda row: (row.kind != UNIT, *order_of(row.chassis), *order_of(row.unit)))


def order_of(end: End) -> tuple[Any, ...]:
    """Where a thing stands in the table."""
    return end.model, end.serial or "~", end.key or 0


def _unit_rows(on: date, wanted: PairFilter, chassis: Iterable[Chassis]) -> list[PairRow]:
    units = here(PlugInUnit.objects.select_related("model", "item"), on)
    if wanted.unit_key is not None:
        units = units.filter(pk=wanted.unit_key)
    if (kc := wanted.frequency_kc) is not None:
        units = units.filter(model__low_kc__lte=kc, model__high_kc__gte=kc)
    asked = [c for c in chassis if wanted.chassis_key in (None, c.pk)]
    shown_chassis = [c for c in asked if agrees(wanted.chassis, end_of(c))]
    fits: dict[int, list[int]] = defaultdict(list)
    for model, set_model in UnitModel.fits.through.objects.values_list("unitmodel_id", "setmodel_id"):
        fits[set_model].append(model)
    by_model: dict[int, list[PlugInUnit]] = defaultdict(list)
    for unit in units:
        if agrees(wanted.unit, end_of(unit)):
            by_model[unit.model_id].append(unit)
    ledger = ledger_up_to(on, _pair_of(wanted))
    rows = [
        row_of(one, unit, ledger, on)
        for one in shown_chassis
        for model in fits[one.model_id]
        for unit in by_model[model]
    ]
    return [row for row in rows if not wanted.states or row.state in wanted.states]


def _pair_of(wanted: PairFilter) -> list[tuple[int, int]] | None:
    """The one pair that is asked for, or None."""
    if wanted.chassis_key is None or wanted.unit_key is None:
        return None
    return [(wanted.chassis_key, wanted.unit_key)]


def rows_of(on: date, pairs: Sequence[tuple[int, int]]) -> list[PairRow]:
    """The lines of some pairs that go together (keys of chassis and unit), with reasons, in the order given."""
    ends, ledger = _fetched(pairs, on)
    return [row_of(chassis, unit, ledger, on) for chassis, unit in ends]


def facts_of_pairs(pairs: Sequence[tuple[int, int]], on: date) -> list[PairFacts]:
    """What the rule needs to know of some pairs (keys of chassis and unit) up to a day, in the order given."""
    ends, ledger = _fetched(pairs, on)
    return [facts_of(chassis, unit, ledger) for chassis, unit in ends]


def _fetched(pairs: Sequence[tuple[int, int]], on: date) -> tuple[list[tuple[Chassis, PlugInUnit]], Any]:
    """Both ends of some pairs, and the ledger that bears on them; nothing is asked where there are none."""
    if not pairs:
        return [], None
    chassis = Chassis.objects.select_related("model", "item").in_bulk({key for key, _ in pairs})
    units = PlugInUnit.objects.select_related("model", "item").in_bulk({key for _, key in pairs})
    return [(chassis[one], units[other]) for one, other in pairs], ledger_up_to(on, pairs)


def row_of(chassis: Chassis, unit: PlugInUnit, ledger: Ledger, on: date) -> PairRow:
    """The line of one pair."""
    answer = state_of_pair(facts_of(chassis, unit, ledger), on)
    model = unit.model
    covers = (model.low_kc, model.high_kc) if model.low_kc is not None and model.high_kc is not None else None
    return PairRow(UNIT, end_of(chassis), end_of(unit), answer.state, answer.setting, answer.reasons, covers)


def facts_of(chassis: Chassis, unit: PlugInUnit, ledger: Ledger) -> PairFacts:
    """All that the rule needs to know of one pair."""
    return PairFacts(
        chassis=chassis.pk,
        unit=unit.pk,
        capacitor=chassis.model.neutralizing,
        chassis_plate=Plate(chassis.serial, chassis.serial_reading),
        unit_plate=Plate(unit.serial, unit.serial_reading),
        nulls=[*ledger.nulls_of_unit.get(unit.pk, ()), *ledger.nulls_of_chassis.get(chassis.pk, ())],
        upsets=[
            *ledger.upsets_of_unit.get(unit.pk, ()),
            *(one for one in ledger.upsets_of_chassis.get(chassis.pk, ()) if one.unit != unit.pk),
        ],
        stays=ledger.stays.get(chassis.pk, ()),
        chassis_names=ledger.chassis_names,
        unit_names=ledger.unit_names,
        uses=[*ledger.uses_of_unit.get(unit.pk, ()), *ledger.uses_of_chassis.get(chassis.pk, ())],
        capacitors=ledger.capacitors,
    )
