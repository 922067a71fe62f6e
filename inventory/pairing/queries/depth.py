"""One pair in depth, and one record of the ledger."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import F

from inventory.pairing.models import Neutralization
from inventory.pairing.queries.ledger import ledger_up_to, tube_stays
from inventory.pairing.queries.lines import LedgerLine, tubes_at
from inventory.pairing.queries.rows import PairRow, was_here
from inventory.pairing.queries.table import facts_of, row_of
from inventory.pairing.queries.told import told_of
from inventory.pairing.rules.events import Null, TubeStay, moment_of_null
from inventory.pairing.rules.fold import IN_UNIT, DialSetting, last_setting
from inventory.pairing.rules.timeline import Stretch, Timeline, states_of
from inventory.pairing.rules.tube_stays import TAKEN_AS_LATER, changed_in_the_minute
from inventory.sets.models import Chassis, Fitting, PlugInUnit
from inventory.sets.queries import open_fittings


@dataclass(frozen=True)
class PairDepth:
    """A pair with its state, its time line, its states one after another, and every record about it."""

    row: PairRow
    chart: Timeline | None
    states: tuple[Stretch, ...]
    lines: tuple[LedgerLine, ...]
    tubes_now: tuple[Fitting, ...]
    empty: tuple[str, ...] = ()  # neutralized positions without a tube by the register


def pair_in_depth(chassis: Chassis, unit: PlugInUnit, on: date) -> PairDepth | None:
    """All about one pair; None where the unit does not go into the chassis."""
    if not unit.model.fits.filter(pk=chassis.model_id).exists() or not was_here(chassis, on) or not was_here(unit, on):
        return None
    ledger = ledger_up_to(on, [(chassis.pk, unit.pk)])
    states = states_of(facts_of(chassis, unit, ledger), on)
    told = told_of(chassis=chassis, unit=unit, on=on, states=states)
    fitted = open_fittings().filter(chassis=chassis, position__neutralized=True)
    tubes = tuple(fitted.select_related("tube__item", "tube__type", "position").order_by("position_id"))
    marks = chassis.model.positions.filter(neutralized=True).order_by("id").values_list("mark", flat=True)
    held = {fitting.position.mark for fitting in tubes}
    empty = tuple(mark for mark in marks if mark not in held)
    return PairDepth(row_of(chassis, unit, ledger, on), told.chart, tuple(states), told.lines, tubes, empty)


def last_record(chassis: Chassis, unit: PlugInUnit) -> tuple[Neutralization | None, Neutralization | None]:
    """The last neutralization of a pair, and the last one with the same capacitor, whose dial and method are alike."""
    latest = Neutralization.objects.filter(struck="").order_by("-on", F("at").desc(nulls_first=True), "-pk")
    own = latest.filter(chassis=chassis, unit=unit).first()
    in_unit = chassis.model.neutralizing == IN_UNIT
    holder = {"unit": unit, "chassis__model__neutralizing": IN_UNIT} if in_unit else {"chassis": chassis}
    return own, own or latest.filter(**holder).first()


def setting_again(own: Neutralization) -> DialSetting:
    """The dial at the last neutralization of a pair, of which ``own`` is the last record: several may have no order."""
    rows = Neutralization.objects.filter(chassis=own.chassis_id, unit=own.unit_id, on=own.on, struck="")
    nulls = [
        Null(own.unit_id, own.chassis_id, moment_of_null(day, at), setting)
        for day, at, setting in rows.values_list("on", "at", "setting")
    ]
    return last_setting(nulls)


def tubes_then(row: Neutralization, stays: Sequence[TubeStay] | None = None) -> list[tuple[str, list[str]]]:
    """The tubes in the neutralized positions of the chassis when it was neutralized, by position, from the fittings.

    None on record gives an empty list; two where the times do not tell which it was. A change of its very minute counts
    as later, see ``changed_then``. ``stays``: ``stays_at_null``, where they are at hand.
    """
    marks = row.chassis.model.positions.filter(neutralized=True).values_list("mark", flat=True)
    stays = stays_at_null(row) if stays is None else stays
    return list(tubes_at(stays, moment_of_null(row.on, row.at), marks).items())


def stays_at_null(row: Neutralization) -> Sequence[TubeStay]:
    """The tubes in neutralized positions of its chassis up to the day of a neutralization (one query)."""
    return tube_stays(row.on, [row.chassis_id]).get(row.chassis_id, [])


def changed_then(row: Neutralization, stays: Sequence[TubeStay]) -> str:
    """What is said where a tube was changed in the very minute of a neutralization; empty where none was."""
    changed = changed_in_the_minute(stays, moment_of_null(row.on, row.at))
    return f"A tube was changed then, {TAKEN_AS_LATER}." if changed else ""
