"""What stops a row on its way into the register, and the remarks made on that way."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from inventory.holdings.rules.cells import row_text
from inventory.lists.rules.rows import HELD, RowRemark

LEAVE_OUT, LEFT_OUT = "leave out", "left out by the keeper"
CHOOSE = "choose on the page of the list"


@dataclass(frozen=True)
class Ask:
    """A question that only the keeper can answer. ``choices``: (key, words); to leave the row out is always one more,
    in the words ``leave``. ``field`` is what it is about in the list, "" for the whole row.
    """

    about: str
    field: str
    text: str
    choices: Sequence[tuple[str, str]]
    leave: str = "leave this row out"

    def question(self, answers: dict[str, str], column: str) -> dict[str, Any]:
        """The question as it is kept with the row."""
        kept = [{"key": key, "words": words} for key, words in (*self.choices, (LEAVE_OUT, self.leave))]
        return {"about": self.about, "column": column, "text": self.text, "choices": kept, "answers": answers}


@dataclass(frozen=True)
class Refuse:
    """A row that cannot be written: the field, the text found, why, and how to mend it."""

    field: str
    found: str
    reason: str
    action: str


Stop = Ask | Refuse


@dataclass
class Remarks:
    """The remarks of one row; ``column`` gives the name of a column in the list."""

    column: Callable[[str], str]
    rows: list[RowRemark]

    def add(self, field: str, found: str, reason: str, action: str) -> None:
        self.rows.append(RowRemark(self.column(field), found, reason, action))

    def drop(self, reason: str) -> None:
        """Take back a remark that a question says better."""
        self.rows[:] = [one for one in self.rows if not reason or one.reason != reason]


def as_found(remarks: Sequence[RowRemark], keys: Sequence[str], cells: Sequence[str]) -> list[RowRemark]:
    """The remarks, each with the text of its cell as it stands in the list, not shortened."""
    here = {key: cell for key, cell in zip(keys, cells, strict=False) if cell.strip()}
    whole = row_text(cells)
    found = []
    for one in remarks:
        cell = whole if one.column == "row" and "row" not in here else here.get(one.column, "")
        found.append(replace(one, found=cell) if cell and cell not in one.found else one)
    return found


def with_reason(
    outcome: str, why: str, column: str, remarks: Sequence[RowRemark], cells: Sequence[str]
) -> list[RowRemark]:
    """The remarks of a row with one that says why it waits or is no item, and for a held row what to do."""
    if outcome == HELD:
        told = [replace(one, action=CHOOSE) if one.reason == why else one for one in remarks]
        said = any(one.reason == why for one in told)
        return told if said else [*told, RowRemark(column, "", why, CHOOSE)]
    if remarks or not why:
        return list(remarks)
    return [RowRemark("row", row_text(cells), why, "nothing, if it is so")]
