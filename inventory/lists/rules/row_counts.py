"""How many things a row is, and in which state each group of them is."""

import re
from dataclasses import dataclass

from inventory.holdings.rules.cells import Remark, shown
from inventory.lists.rules import fields as f
from inventory.lists.rules.one_of_each import duds_by_condition, said_of_one, speaks_of_a_dud
from inventory.lists.rules.quantities import (
    APPROXIMATE,
    AT_LEAST,
    AT_MOST,
    COUNTED,
    MOST_OF_ONE,
    RANGE,
    STATES,
    UNKNOWN,
    Quantity,
    read_quantity,
)
from inventory.lists.rules.row_cells import RowCells
from inventory.lists.rules.row_result import Group
from inventory.lists.rules.states import (
    DUD,
    GOOD,
    UNTESTED,
    StateReading,
    doubted,
    left_unread,
    read_state,
    read_states,
    stated,
)

_PAIR = re.compile(r"\b(?:pairs?|matched|paar|paarig|gepaart|selektiert|paire|appariée?s?|gepaard)\b", re.IGNORECASE)
_SINGLE = (f.CHASSIS, f.UNITS, f.COMPANIONS)


@dataclass(frozen=True, slots=True)
class Counted:
    quantity: Quantity
    groups: tuple[Group, ...]
    condition: str


def count(
    row: RowCells, kind: str, serial: str, beside: int | None = None, *, own: bool = False, counted: int | None = None
) -> Counted:
    """The quantity and groups of a row; remarks go to the row.

    `beside` is a count written beside the number itself: `2E22 (x4)`. `own`: see ``Context``. `counted` is what
    somebody counted since: it goes before everything that the list says.
    """
    said = counted is not None or (not own and bool(row.written(f.QUANTITY).strip()))
    quantity = None if said else _bounds(row, own=own)
    quantity = quantity or _quantity(row, kind, serial, beside, counted)
    row.remark(f.QUANTITY, quantity.remark)
    if own:
        return Counted(quantity, _groups(quantity, (_own_state(row),), kind), row.text(f.CONDITION))
    if said and counted is None:
        _beside_the_count(row)
    if kind == f.TUBES and not quantity.pair and _PAIR.search(row.text(f.NOTE)[:500]):
        row.remark(f.NOTE, Remark("a pair by the words is no measured match", "measure them before they go as a pair"))
    states = _states(row, kind, quantity)
    groups = _groups(quantity, states, kind)
    return Counted(quantity, groups, _condition(row))


_WRITE_STATE = "write good, untested, weak or dud"


def _own_state(row: RowCells) -> StateReading:
    """The state as a register names it; a word that somebody wrote into its list since is read as any other."""
    state = row.text(f.STATE).casefold()
    if not state or state in STATES:
        return StateReading(state, state or UNTESTED)
    read = read_state(row.text(f.STATE))
    none = Remark(f"{shown(read.text)} names no state", _WRITE_STATE)
    row.remark(f.STATE, read.remark or (None if read.state else none))
    return read


def _beside_the_count(row: RowCells) -> None:
    """Say of bounds that they are not used where the list has a count of its own."""
    for field in (f.LEAST, f.MOST, f.DUDS):
        if row.text(field):
            row.remark(field, Remark("stands beside a count and is not used: kept as text", "correct the count"))


def _bounds(row: RowCells, *, own: bool) -> Quantity | None:
    """The quantity of a register: at least, at most, duds beside it, whether it wants counting.

    In a list of somebody else's a row that fills none of these columns is counted as if they were not there, and
    what is not sure wants counting whatever the list says.
    """
    if not (row.has(f.LEAST) or row.has(f.MOST)):
        return None
    if not own and not any(row.text(field) for field in (f.LEAST, f.MOST, f.DUDS)):
        return None
    found = {name: _whole(row, name) for name in (f.LEAST, f.MOST, f.DUDS)}
    least, most, duds = found[f.LEAST], found[f.MOST], found[f.DUDS] or 0
    text = " to ".join(filter(None, (row.text(f.LEAST), row.text(f.MOST))))
    asked = row.text(f.TO_COUNT).casefold() in ("yes", "true", "1", "x", "ja", "oui")
    counting = asked or (False if own else None)
    if least is None and most is None:
        return Quantity(text, UNKNOWN, None, None, None, duds, counting=counting)
    if most is None or least is None:
        kind = AT_LEAST if most is None else AT_MOST
        return Quantity(text, kind, least, least, most, duds, counting=counting)
    if least != most:
        return Quantity(text, RANGE, least, min(least, most), max(least, most), duds, counting=counting)
    return Quantity(text, APPROXIMATE if counting else COUNTED, least, least, most, duds, counting=counting)


def _whole(row: RowCells, field: str) -> int | None:
    text = row.text(field)
    if not text:
        return None
    figure = re.fullmatch(r"([0-9]{1,9})(?:\.0{1,2})?", text)
    if not figure:
        row.remark(field, Remark(f"{shown(text)} is no whole number, not read", "write the number alone"))
        return None
    if int(figure[1]) > MOST_OF_ONE:
        row.remark(field, Remark(f"{shown(text)}: more than {MOST_OF_ONE} of one thing, not read", "correct it"))
        return None
    return int(figure[1])


def _quantity(row: RowCells, kind: str, serial: str, beside: int | None, counted: int | None) -> Quantity:
    cell = row.written(f.QUANTITY) if counted is None else str(counted)
    what = f.MARK if row.text(f.MARK) else f.MODEL
    if beside and not cell.strip():
        row.remark(what, Remark(f"{beside} read as the count", "correct it if it is none"))
        return Quantity(row.written(what), COUNTED, beside, beside, beside)
    if not cell.strip() and (serial or kind in _SINGLE or not row.has(f.QUANTITY)):
        return Quantity(cell, COUNTED, 1, 1, 1)  # a serial, or a row for each thing
    quantity = read_quantity(cell)
    if beside and counted is None and quantity.figure != beside:
        reason = f"a count of {beside} beside the number, not used: the column of counts says {shown(cell)}"
        row.remark(what, Remark(reason, "count them"))
    if quantity.kind == UNKNOWN and serial:
        return Quantity(
            cell,
            COUNTED,
            1,
            1,
            1,
            remark=Remark("no count, but one serial: taken for one", "correct it if there are more"),
        )
    if serial and (quantity.figure or 0) + quantity.duds > 1:
        row.remark(f.QUANTITY, Remark("one serial for more than one thing", "give each thing its own row"))
    return quantity


def _states(row: RowCells, kind: str, quantity: Quantity) -> tuple[StateReading, ...]:
    states = read_states(row.text(f.STATE), max(len(quantity.parts), 1))
    for remark in dict.fromkeys(state.remark for state in states):
        row.remark(f.STATE, remark)
    if kind != f.TUBES or (quantity.stated and all(state for _, state, _ in quantity.stated)):
        return states
    if any(left_unread(state) for state in states):
        row.remark(f.STATE, Remark("not read: counted as untested", _WRITE_STATE))
    if (told := said_of_one(row, quantity, states)) is not states:
        return told
    if duds_by_condition(row, states):
        return _from_condition(row, states)
    bad = speaks_of_a_dud(row)
    if bad and not quantity.duds and any(state.state in (GOOD, "") for state in states):
        field = f.NOTE if not bad.isdisjoint(stated(row.text(f.NOTE).casefold()[:500])) else f.CONDITION
        what = "dud" if DUD in bad else "gassy one"
        if (quantity.least, quantity.most) == (1, 1):
            told_as = Remark(f"the words speak of a {what}: not counted as good", _WRITE_STATE)
        else:
            count_them = f"give the {'duds' if what == 'dud' else 'gassy ones'} their own count"
            told_as = Remark(f"the words speak of a {what}, not which: nothing is counted as good", count_them)
        row.remark(field, told_as)
        return tuple(StateReading(s.text, "" if s.state == GOOD else s.state, s.condition, True) for s in states)
    if not row.text(f.STATE) and not any(state.state for state in states):
        return _from_condition(row, states)
    return states


def _from_condition(row: RowCells, states: tuple[StateReading, ...]) -> tuple[StateReading, ...]:
    """Where the list has no state column, a condition may state one: `tests good`."""
    text = row.text(f.CONDITION)
    read = read_state(text)
    return (read,) * len(states) if read.state and not doubted(text.casefold()) else states


def _groups(quantity: Quantity, states: tuple[StateReading, ...], kind: str) -> tuple[Group, ...]:
    none_said = UNTESTED if kind == f.TUBES else ""
    groups: list[Group] = []
    if quantity.stated:
        rest = (states[0].state or none_said, states[0].condition)  # of those whose state the count does not say
        groups = [Group(n, *((state, word) if state else rest)) for n, state, word in quantity.stated]
    elif len(quantity.parts) == len(states) and quantity.parts:
        groups = [Group(n, s.state or none_said, s.condition) for n, s in zip(quantity.parts, states, strict=True) if n]
    elif quantity.figure:
        groups = [Group(quantity.figure, states[0].state or none_said, states[0].condition)]
    if quantity.duds:
        groups.append(Group(quantity.duds, DUD, f"a dud by the list: {shown(quantity.text)}"))
    return tuple(groups)


def _condition(row: RowCells) -> str:
    parts = [row.text(f.STATE), row.text(f.CONDITION)]
    used = row.text(f.USED)
    if used and used != "0":
        heading = row.heading(f.USED) or "used"
        parts.append(f"{heading}: {used}")
        reason = (
            f"{heading}: {shown(used)}: whether among the count or beside it is not said; the count is left as it is"
        )
        row.remark(f.USED, Remark(reason, "correct the count if need be"))
    return "; ".join(part for part in parts if part)
