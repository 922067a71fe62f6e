"""The state of single tubes that words elsewhere than in the column of states say: a dead one, one of four that is bad.

Said of one tube, `dead` under the readings or alone in the notes is a dud; said of several, nobody knows which.
Meanings of the words: ``states``; common practice, no source.
"""

import re
from dataclasses import replace

from inventory.holdings.rules.cells import shown
from inventory.lists.rules import fields as f
from inventory.lists.rules.quantities import Quantity
from inventory.lists.rules.row_cells import RowCells
from inventory.lists.rules.row_result import ColumnReading, Group
from inventory.lists.rules.states import DUD, WEAK, StateReading, read_state, stripped_of_states

#: What may stand beside the word of a verdict without making it another one.
_BESIDE = frozenset(
    "tube tubes valve it is its tests tested test reads as now totally completely quite very this one röhre ist ganz "
    "völlig lampe est buis lampada è on tester at a the sadly leider".split()
)
_CLAUSES = re.compile(r"[,;.()/!\n]+|\s-\s")


def said_of_one(row: RowCells, quantity: Quantity, states: tuple[StateReading, ...]) -> tuple[StateReading, ...]:
    """The states of a row of one tube, where no column of states says any and the words of another cell do."""
    if (quantity.figure or 0) + quantity.duds != 1 or row.text(f.STATE) or any(one.state for one in states):
        return states
    for field, several in ((f.READING, True), (f.NOTE, False), (f.CONDITION, False)):
        text = row.text(field)
        state = read_state(text) if several else StateReading(text, _by_clause(text), text)
        if state.state and (several or state.state in (DUD, WEAK)):
            told = StateReading(text, state.state, f"{state.state} by the list: {shown(text)}", remark=state.remark)
            return (told,) * len(states)
    return states


def _by_clause(text: str) -> str:
    """The state that a part of a text states and nothing else; "" where none does."""
    for clause in _CLAUSES.split(text[:500].casefold()):
        said = read_state(clause)
        left = re.findall(r"\w+", stripped_of_states(clause)) if said.state in (DUD, WEAK) else ["-"]
        if all(word in _BESIDE for word in left):
            return said.state
    return ""


def by_readings(groups: tuple[Group, ...], readings: tuple[ColumnReading, ...]) -> tuple[Group, ...]:
    """The groups of a row with those apart of whose readings a word says that they are duds or weak."""
    states = next((one.states for one in readings if any(one.states)), ())
    if not states or sum(group.count for group in groups) != len(states):
        return groups
    single = [replace(group, count=1) for group in groups for _ in range(group.count)]
    return tuple(
        replace(one, state=state, condition=f"{state} by the list") if state else one
        for one, state in zip(single, states, strict=True)
    )
