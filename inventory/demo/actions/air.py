"""The demo's tables about going on the air, and about things that belong together."""

from inventory.demo.actions.finds import Desk, cells, chassis_of, part_type_of, place_of, set_model_of, unit_of
from inventory.demo.actions.tables import Row
from inventory.holdings.actions import add_parts
from inventory.holdings.models import Item, PartLot
from inventory.pairing.actions import record_on_air, save_bridge, save_mated_part, save_mated_set
from inventory.pairing.models import OnAirRecord
from inventory.sets.actions import save_position
from inventory.sets.models import MatedPart, MatedSet

METERS = (
    "frequency_kc", "filament_v", "filament_a", "supply_v", "plate_ma", "antenna_a", "antenna_scale_a", "output_w",
    "load_ohm",
)  # fmt: skip


def add_heater(row: Row, desk: Desk) -> None:
    """Positions whose heaters are in series on one branch of the metered filament supply."""
    for mark in row.text("marks").split():
        position = set_model_of(row).positions.filter(mark=mark).first()
        if position is None:
            raise row.fault("marks", f"there is no position {mark!r}")
        position.heater_branch = row.text("branch")
        save_position(position, by=desk.by)


def add_circuit(row: Row, desk: Desk) -> None:
    """The neutralizing circuit of a set model, and what it is rated for."""
    model = set_model_of(row)
    model.bridge_circuit, model.sharing = row.text("circuit"), row.text("sharing")
    try:
        model.bridge = {name: float(value) for name, value in (pair.split("=") for pair in row.text("figures").split())}
    except ValueError as fault:
        raise row.fault("figures", f"{row.text('figures')!r}, expected such as np=12 nn=18") from fault
    for name in ("cn_min_pf", "cn_max_pf", "rated_power_w", "filament_supply_v", "filament_winding_a"):
        setattr(model, name, row.number(name))
    save_bridge(model, by=desk.by)


def add_on_air(row: Row, desk: Desk) -> None:
    """What the meters said on a day of the story, which may lie before the day it is entered."""
    record = OnAirRecord(
        on=row.day("on"),
        chassis=chassis_of(row),
        unit=unit_of(row) if row.text("unit") else None,
        **{name: row.number(name) for name in METERS},
        **cells(row, "by_whom", "note"),
    )
    record_on_air(record, today=desk.last_day, by=desk.by)


def add_part_lot(row: Row, desk: Desk) -> None:
    count = row.number("count")
    number = None if count is None else int(count)
    kind = part_type_of(row, desk) if row.text("kind") else None
    lot = PartLot(least=number, most=number, type=kind, **cells(row, "name", "value", "condition", "note"))
    add_parts(lot, by=desk.by, on=row.day("on"), place=place_of(row), tag=row.text("tag"))


def add_mated_set(row: Row, desk: Desk) -> None:
    save_mated_set(MatedSet(**cells(row, "name", "kind", "number", "note")), by=desk.by)


def add_mated_part(row: Row, desk: Desk) -> None:
    part = MatedPart(
        mated_set=row.find("mated_set", MatedSet.objects.all(), "name"),
        item=row.find_or_none("item", Item.objects.all(), "tag"),
        frequency_kc=row.number("frequency_kc"),
        compared_on=row.day_or_none("compared_on"),
        **cells(row, "name", "number", "number_reading", "verdict", "compared_by", "note"),
    )
    save_mated_part(part, today=desk.last_day, by=desk.by)
