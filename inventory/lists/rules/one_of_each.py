"""The state of single tubes that words elsewhere than in the column of states say: a dead one, one of four that is bad.

Said of one tube, `dead` under the readings or alone in the notes is a dud; said of several, nobody knows which.
Meanings of the words: ``states``; common practice, no source.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from inventory.holdings.rules.cells import Remark, shown
from inventory.lists.rules import fields as f
from inventory.lists.rules.quantities import Quantity
from inventory.lists.rules.row_cells import RowCells
from inventory.lists.rules.row_result import ColumnReading, Group
from inventory.lists.rules.states import (
    CLAUSES,
    DUD,
    GASSY,
    GOOD,
    UNTESTED,
    WEAK,
    StateReading,
    read_state,
    stated,
    stripped_of_states,
)

#: What may stand beside the word of a verdict without making it another one.
_BESIDE = frozenset(
    "tube tubes valve it is its tests tested test reads as now totally completely quite very this one röhre ist ganz "
    "völlig lampe est buis lampada è on tester at a the sadly leider heater heaters filament filaments faden heizfaden "
    "heizung gloeidraad filamento żarzenie žhavení нить накал".split()
)
_SEVERAL = Remark("the words of the row state more than one thing", "test it; until then it counts as untested")


def said_of_one(row: RowCells, quantity: Quantity, states: tuple[StateReading, ...]) -> tuple[StateReading, ...]:
    """The states of a row of one tube, where no column of states says any and the words of another cell do.

    The same states where none of them says it plainly, or good is said beside words of a dud that are not plain.
    """
    if (quantity.figure or 0) + quantity.duds != 1 or row.text(f.STATE) or any(one.state for one in states):
        return states
    told: list[tuple[str, StateReading]] = []
    for field in (f.READING, f.NOTE, f.CONDITION):
        text = row.text(field)
        whole = read_state(text) if field == f.READING else StateReading(text)
        if whole.state:
            told.append((field, whole))
        else:
            told += [(field, StateReading(text, state, text)) for state in _by_clause(text)]
    said = {one.state for _, one in told}
    if GOOD in said and len(said) > 1:
        row.remark(next(field for field, one in told if one.state != GOOD), _SEVERAL)
        return tuple(StateReading(one.text, "", one.condition, True) for one in states)
    plain = [one for field, one in told if one.state != GOOD or field == f.READING]
    if not plain or (said == {GOOD} and speaks_of_a_dud(row)):
        return states
    one = next((one for one in plain if one.state == DUD), plain[0])
    words = f"{one.state} by the list: {shown(one.text)}"
    return (StateReading(one.text, one.state, words, remark=one.remark),) * len(states)


def speaks_of_a_dud(row: RowCells) -> set[str]:
    """What the notes and the condition of a row say of duds and gas, of whichever of its tubes."""
    notes = " ".join(f"{row.text(f.NOTE)} {row.text(f.CONDITION)}"[:500].casefold().split())
    return {DUD, GASSY} & set(stated(notes))


def duds_by_condition(row: RowCells, states: Sequence[StateReading]) -> bool:
    """Whether the column of the condition says of all things of a row that they are duds, where no state is said.

    As a column of states would: `bad` alone, and no word of duds or gas in the notes.
    """
    if row.text(f.STATE) or any(one.state for one in states):
        return False
    text = row.text(f.CONDITION)
    notes = {DUD, GASSY} & set(stated(" ".join(row.text(f.NOTE)[:500].casefold().split())))
    return not notes and read_state(text).state == DUD and _by_clause(text) == [DUD]


def _by_clause(text: str) -> list[str]:
    """The states that a part of a text states and nothing else."""
    found = []
    for clause in CLAUSES.split(text[:500].casefold()):
        said = read_state(clause)
        if said.state in (GOOD, DUD, WEAK) and set(re.findall(r"\w+", stripped_of_states(clause))) <= _BESIDE:
            found.append(said.state)
    return found


def by_readings(
    groups: tuple[Group, ...], readings: tuple[ColumnReading, ...]
) -> tuple[tuple[Group, ...], tuple[Group, ...]]:
    """(groups, those of the count alone) of a row of whose readings a word says that some are duds or weak.

    Duds of the count are those of the words where there are as many; where there are not, the first are by the words
    and the second by the count, and the keeper is asked; else the second are empty.
    """
    states = next((one.states for one in readings if any(one.states)), ())
    if not states or sum(group.count for group in groups) != len(states):
        return groups, ()
    counted, named = sum(group.count for group in groups if group.state == DUD), states.count(DUD)
    if not counted or not named:
        return _apart([replace(group, count=1) for group in groups for _ in range(group.count)], states), ()
    single = [replace(group, count=1) for group in groups if group.state != DUD for _ in range(group.count)]
    base = replace(single[0], condition="") if single else Group(1, UNTESTED)
    single += [base] * (len(states) - named - len(single))
    rest = iter(single)
    told = _apart([Group(1, DUD) if state == DUD else next(rest) for state in states], states)
    return told, () if counted == named else groups


def _apart(single: Sequence[Group], states: Sequence[str]) -> tuple[Group, ...]:
    return tuple(
        replace(one, state=state, condition=f"{state} by the list") if state else one
        for one, state in zip(single, states, strict=True)
    )
