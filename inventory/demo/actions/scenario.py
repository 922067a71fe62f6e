"""The demo: an invented coastal radio museum, loaded from plain tables through the actions of the areas.

So every rule of the areas holds for it, and its history and movements are what a keeper's own entries would have left.
"""

import secrets
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.core.exceptions import ValidationError
from django.db import connection, transaction

from inventory.demo.actions import hazards
from inventory.demo.actions.air import (
    add_circuit,
    add_heater,
    add_mated_part,
    add_mated_set,
    add_on_air,
    add_part_lot,
)
from inventory.demo.actions.estate import ESTATE_TABLES
from inventory.demo.actions.evidence import PRICE_TABLES
from inventory.demo.actions.facts import add_fact, add_want
from inventory.demo.actions.finds import (
    Desk,
    cells,
    chassis_of,
    kind_of,
    place_of,
    set_model_of,
    tube_of,
    unit_of,
)
from inventory.demo.actions.instead import add_approval, add_fitted_stand_in, add_operating, add_stand_in
from inventory.demo.actions.loans import add_borrowed, add_loan
from inventory.demo.actions.plans import PLAN_TABLES
from inventory.demo.actions.running import TABLES as RUNNING_TABLES
from inventory.demo.actions.tables import Row, read_table
from inventory.holdings.actions import add_tubes, move, part_with, save_place
from inventory.holdings.models import Item, Place, TagSeries, Tube
from inventory.house.access import ROLES, add_person
from inventory.pairing.actions import (
    add_companion,
    record_comparison,
    record_disturbance,
    record_neutralization,
    save_companion_kind,
)
from inventory.pairing.models import Companion, CompanionCheck, CompanionKind, Disturbance, Neutralization
from inventory.pairing.rules.kept_null import rows_of
from inventory.pairing.rules.null_table import parse_readings
from inventory.sets.actions import (
    add_serialled,
    fit,
    save_bay,
    save_position,
    save_set_model,
    save_unit_model,
    seat,
    take_out,
    unseat,
)
from inventory.sets.models import Bay, Chassis, Fitting, PlugInUnit, Position, SetModel, UnitModel
from tubes.models import KEEPER, Designation, Rating, TubeType
from tubes.queries import knowledge

LAST_DAY = date(2026, 9, 30)  # the scenario ends here, whatever the clock of the machine says
MARK = "demo"  # a tag series in lower case: no tag that a keeper chooses can make one
EMPTY, DEMO, OTHER = "empty", "demo", "other"


def _add_place(row: Row, desk: Desk) -> None:
    save_place(Place(parent=place_of(row, "inside"), **cells(row, "code", "name", "note")), by=desk.by)


def _add_set_model(row: Row, desk: Desk) -> None:
    save_set_model(SetModel(**cells(row, "name", "kind", "neutralizing", "caution", "note")), by=desk.by)


def _add_position(row: Row, desk: Desk) -> None:
    position = Position(
        set_model=set_model_of(row),
        type=desk.type_named(row, "type"),
        neutralized=bool(row.yes("neutralized")),
        **cells(row, "mark", "role"),
    )
    save_position(position, by=desk.by)


def _add_bay(row: Row, desk: Desk) -> None:
    save_bay(Bay(set_model=set_model_of(row), mark=row.text("mark")), by=desk.by)


def _add_unit_model(row: Row, desk: Desk) -> None:
    model = UnitModel(low_kc=row.number("low_kc"), high_kc=row.number("high_kc"), **cells(row, "name", "note"))
    save_unit_model(model, [set_model_of(row, "fits")], by=desk.by)


def _add_companion_kind(row: Row, desk: Desk) -> None:
    save_companion_kind(CompanionKind(set_model=set_model_of(row), name=row.text("name")), by=desk.by)


def _add_chassis(row: Row, desk: Desk) -> None:
    chassis = Chassis(model=set_model_of(row, "model"), **cells(row, "serial", "serial_reading", "note"))
    add_serialled(chassis, by=desk.by, on=row.day("on"), place=place_of(row), tag=row.text("tag"))


def _add_unit(row: Row, desk: Desk) -> None:
    model = row.find("model", UnitModel.objects.all(), "name")
    unit = PlugInUnit(model=model, **cells(row, "serial", "serial_reading", "note"))
    add_serialled(unit, by=desk.by, on=row.day("on"), place=place_of(row), tag=row.text("tag"))


def _add_companion(row: Row, desk: Desk) -> None:
    companion = Companion(
        kind=kind_of(row),
        kept_with=chassis_of(row, "kept_with") if row.text("kept_with") else None,
        **cells(row, "serial", "serial_reading", "mate_serial", "mate_reading", "note"),
    )
    add_companion(companion, by=desk.by, on=row.day("on"), place=place_of(row), tag=row.text("tag"))


def _add_tube(row: Row, desk: Desk) -> None:
    words = cells(row, "marked", "maker", "date_code", "state", "condition", "acquired_how", "acquired_from", "note")
    tube = Tube(
        type=desk.type_named(row, "type") or desk.type_of_mark(row), acquired_on=row.day_or_none("acquired_on"), **words
    )
    add_tubes(tube, by=desk.by, on=row.day("on"), place=place_of(row), tag=row.text("tag"))


def _add_fitting(row: Row, desk: Desk) -> None:
    chassis = chassis_of(row)
    position = row.find("position", Position.objects.all(), "mark", set_model=chassis.model)
    since, until, to = row.day("since"), row.day_or_none("until"), place_of(row, "to")
    put_in = Fitting(
        tube=tube_of(row),
        chassis=chassis,
        position=position,
        since=since,
        since_at=row.clock("since_at"),
        note=row.text("note"),
    )
    fitting = fit(put_in, today=LAST_DAY, by=desk.by, other_type=True, in_doubt=True)
    if until:
        take_out(fitting, until=until, until_at=row.clock("until_at"), today=LAST_DAY, by=desk.by, place=to)


def _add_seating(row: Row, desk: Desk) -> None:
    chassis, since, until = chassis_of(row), row.day("since"), row.day_or_none("until")
    bay = row.find("bay", Bay.objects.all(), "mark", set_model=chassis.model)
    seating = seat(unit_of(row), chassis, bay, since=since, today=LAST_DAY, by=desk.by)
    if until:
        unseat(seating, until=until, today=LAST_DAY, by=desk.by, place=place_of(row, "to"))


def _add_neutralization(row: Row, desk: Desk) -> None:
    neutralization = Neutralization(
        on=row.day("on"),
        at=row.clock("at"),
        chassis=chassis_of(row),
        unit=unit_of(row),
        frequency_kc=row.number("frequency_kc"),
        locked=row.yes("locked"),
        readings=rows_of(parse_readings(row.text("readings").replace(";", "\n"))) if row.text("readings") else [],
        **cells(row, "setting", "dial_scale", "method", "null_reading", "indicator", "by_whom", "note"),
    )
    record_neutralization(neutralization, today=LAST_DAY, by=desk.by)


def _add_disturbance(row: Row, desk: Desk) -> None:
    disturbance = Disturbance(
        on=row.day("on"),
        at=row.clock("at"),
        chassis=chassis_of(row) if row.text("chassis") else None,
        unit=unit_of(row) if row.text("unit") else None,
        **cells(row, "cause", "by_whom", "note"),
    )
    record_disturbance(disturbance, today=LAST_DAY, by=desk.by)


def _add_comparison(row: Row, desk: Desk) -> None:
    check = CompanionCheck(
        on=row.day("on"),
        at=row.clock("at"),
        companion=row.find("companion", Companion.objects.all(), "item__tag"),
        chassis=chassis_of(row),
        **cells(row, "outcome", "by_whom", "note"),
    )
    record_comparison(check, today=LAST_DAY, by=desk.by)


def _item(row: Row) -> Item:
    return row.find("item", Item.objects.select_related("place"), "tag")


def _add_move(row: Row, desk: Desk) -> None:
    move(
        [_item(row)],
        place_of(row, "to"),
        on=row.day("on"),
        by=desk.by,
        reason=row.text("reason"),
        apart=row.text("reason"),
    )


def _add_departure(row: Row, desk: Desk) -> None:
    part_with(_item(row), row.text("how"), on=row.day("on"), today=LAST_DAY, by=desk.by, why=row.text("why"))


# In this order; a table may name what stands in the ones before it.
TABLES: tuple[tuple[str, Callable[[Row, Desk], None], str], ...] = (
    ("places", _add_place, "code inside name note"),
    ("set_models", _add_set_model, "name kind neutralizing caution note"),
    ("positions", _add_position, "set_model mark type role neutralized"),
    ("heaters", add_heater, "set_model branch marks"),
    (
        "circuits",
        add_circuit,
        "set_model circuit sharing figures cn_min_pf cn_max_pf rated_power_w filament_supply_v filament_winding_a",
    ),
    (
        "operating",
        add_operating,
        "set_model mark heater_v plate_v plate_w screen_v screen_w output_ma frequency_mc tuned values_from",
    ),
    ("approvals", add_approval, "set_model mark type verdict on source words"),
    (
        "stand_ins",
        add_stand_in,
        "set_model position part instead verdict general changes reversible caution source on",
    ),
    ("bays", _add_bay, "set_model mark"),
    ("unit_models", _add_unit_model, "name fits low_kc high_kc note"),
    ("companion_kinds", _add_companion_kind, "set_model name"),
    ("chassis", _add_chassis, "tag model serial serial_reading place on note"),
    ("units", _add_unit, "tag model serial serial_reading place on note"),
    (
        "companions",
        _add_companion,
        "tag set_model kind serial serial_reading mate_serial mate_reading kept_with place on note",
    ),
    (
        "tubes",
        _add_tube,
        "tag marked type maker date_code state condition acquired_on acquired_how acquired_from place on note",
    ),
    ("fittings", _add_fitting, "tube chassis position since since_at until until_at to note"),
    ("seatings", _add_seating, "unit chassis bay since until to"),
    (
        "neutralizations",
        _add_neutralization,
        "on at chassis unit setting dial_scale frequency_kc method null_reading readings indicator locked by_whom note",
    ),
    ("disturbances", _add_disturbance, "on at chassis unit cause by_whom note"),
    ("comparisons", _add_comparison, "on at companion chassis outcome by_whom note"),
    (
        "on_air",
        add_on_air,
        "on chassis unit frequency_kc filament_v filament_a supply_v plate_ma antenna_a antenna_scale_a output_w "
        "load_ohm by_whom note",
    ),
    ("part_lots", add_part_lot, "tag name value kind volts count condition place on note"),
    ("facts", add_fact, "item about text instrument unit currency order as_found basis dated"),
    ("wants", add_want, "thing quantity top_price currency purpose since note"),
    ("mated_sets", add_mated_set, "name kind number note"),
    (
        "mated_parts",
        add_mated_part,
        "mated_set name frequency_kc item number number_reading verdict compared_on compared_by note",
    ),
    *RUNNING_TABLES,
    ("stand_ins_fitted", add_fitted_stand_in, "set_model part source chassis since until note"),
    *PLAN_TABLES,
    *PRICE_TABLES,
    ("moves", _add_move, "item on to reason"),
    ("loans", add_loan, "item on lent_to due terms condition why"),
    ("borrowed", add_borrowed, "item since who due terms condition"),
    ("departures", _add_departure, "item on how why"),
    *ESTATE_TABLES,
    ("hazard_marks", hazards.add_mark, "item hazard standing reason on by_whom"),
    ("hazard_checks", hazards.add_check, "place item hazard how on by_whom note"),
)


@transaction.atomic
def load_demo(folder: Path, by: Any) -> dict[str, int]:
    """Load the demo's tables, all or nothing, and count their rows.

    The reference tables must be loaded. Raises ValueError for a bad row (file:line: column: what is wrong) and for a
    database that holds things already.
    """
    if any(model._default_manager.exists() for model in (Item, Place, SetModel, UnitModel)):
        raise ValueError("This database holds things already; the demo goes into an empty one.")
    if not TubeType.objects.exists():
        raise ValueError("There are no tube types yet; run load_reference first.")
    desk = Desk(by, knowledge(), {found.name: found for found in TubeType.objects.all()}, LAST_DAY)
    counts = {}
    tables = [(name, add, list(read_table(folder / f"{name}.csv", columns))) for name, add, columns in TABLES]
    for name, add, rows in tables:
        for row in rows:
            try:
                add(row, desk)
            except ValidationError as refusal:
                raise row.refused(refusal) from refusal
        counts[name] = len(rows)
    TagSeries.objects.create(prefix=MARK)
    return counts


def what_is_here() -> str:
    """Whether this database is empty, an earlier demo, or anything else. It may lie before or after ``migrate``."""
    tables = set(connection.introspection.table_names())
    if not tables:
        return EMPTY
    if TagSeries._meta.db_table not in tables:
        return OTHER
    if TagSeries.objects.filter(prefix=MARK).exists():
        return DEMO
    owned = (Item, Place, SetModel, UnitModel, get_user_model())
    if any(model._default_manager.exists() for model in owned):
        return OTHER
    told = (TubeType, Designation, Rating)
    return OTHER if any(model._default_manager.filter(origin=KEEPER).exists() for model in told) else EMPTY


@transaction.atomic
def open_demo(folder: Path) -> list[dict[str, str]]:
    """One account for each role with a new random password, and the demo's tables where they are not loaded yet."""
    loaded = what_is_here() == DEMO
    people = [_new_password(role) for role in ROLES]
    if not loaded:
        load_demo(folder, get_user_model().objects.get(username=ROLES[-1]))
    return people


def _new_password(role: str) -> dict[str, str]:
    password = secrets.token_urlsafe(9)
    person = get_user_model().objects.filter(username=role).first() or add_person(role, role, None)
    person.set_password(password)
    person.is_active = True
    person.save()
    person.groups.set([Group.objects.get(name=role)])
    return {"name": role, "role": role, "password": password}
