"""The demo's tables about what fits instead: what the positions give to a tube, and whose word there is on a type."""

from inventory.demo.actions.finds import Desk, cells, set_model_of
from inventory.demo.actions.tables import Row
from inventory.sets.actions import OPERATING, save_approval, save_position
from inventory.sets.models import Approval, Position


def _position_of(row: Row) -> Position:
    return row.find("mark", Position.objects.select_related("set_model"), "mark", set_model=set_model_of(row))


def add_operating(row: Row, desk: Desk) -> None:
    """The values that the tube in a position works at."""
    position = _position_of(row)
    for name in OPERATING:
        setattr(position, name, row.number(name))
    position.tuned, position.values_from = bool(row.yes("tuned")), row.text("values_from")
    save_position(position, by=desk.by)


def add_approval(row: Row, desk: Desk) -> None:
    """Somebody's word on a type in one position."""
    word = Approval(position=_position_of(row), on=row.day("on"), **cells(row, "verdict", "source", "words"))
    found = desk.type_named(row, "type")
    if found is None:
        raise row.fault("type", "empty, expected a tube type")
    word.type = found
    save_approval(word, today=desk.last_day, by=desk.by)
