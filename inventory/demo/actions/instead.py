"""The demo's tables about what fits instead: what the positions give to a tube, and whose word there is on a type."""

from inventory.demo.actions.finds import Desk, cells, chassis_of, set_model_of
from inventory.demo.actions.tables import Row
from inventory.sets.actions import OPERATING, save_approval, save_position
from inventory.sets.actions.stand_ins import save_fitted, save_stand_in
from inventory.sets.models import Approval, Position, StandIn, StandInFitted


def _position_of(row: Row, column: str = "mark") -> Position:
    return row.find(column, Position.objects.select_related("set_model"), "mark", set_model=set_model_of(row))


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


def add_stand_in(row: Row, desk: Desk) -> None:
    """Somebody's word on what does the work of a part of a set model."""
    model = set_model_of(row)
    word = StandIn(
        set_model=model, on=row.day("on"), position=_position_of(row, "position") if row.text("position") else None,
        **cells(row, "part", "instead", "verdict", "general", "changes", "reversible", "caution", "source"),
    )  # fmt: skip
    save_stand_in(word, today=desk.last_day, by=desk.by)


def add_fitted_stand_in(row: Row, desk: Desk) -> None:
    """In which set such a thing sits, or sat."""
    words = StandIn.objects.select_related("set_model").filter(set_model=set_model_of(row), source=row.text("source"))
    fitted = StandInFitted(
        stand_in=row.find("part", words, "part"), chassis=chassis_of(row), since=row.day("since"),
        until=row.day_or_none("until"), **cells(row, "note"),
    )  # fmt: skip
    save_fitted(fitted, today=desk.last_day, by=desk.by)
