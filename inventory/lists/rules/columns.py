"""Which row heads a list, and which column is what by a kept mapping; proposals: ``rules.headings``."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.lists.rules import fields as f
from inventory.lists.rules.heading_text import fold_heading
from inventory.lists.rules.headings import Proposal
from inventory.lists.rules.own_lists import proposals

LOOKED_AT = 15  # rows in which a heading is looked for
WHY = "why"  # the column of a file of refused rows; it says what was wrong and is read no more


def find_heading(rows: Sequence[Sequence[str]]) -> int | None:
    """Index of the row that heads the list, or None where all rows are things.

    The row with most known heading words; else a first row of words above rows with figures. Common practice, no
    source.
    """
    best, most = None, 0
    for index, row in enumerate(rows[:LOOKED_AT]):
        filled = [cell for cell in row if cell.strip()]
        known = sum(one.by_heading for one in proposals(row))
        if known > most and (known >= 3 or known * 2 >= len(filled)) and all(len(cell) < 60 for cell in filled):
            best, most = index, known
    if best is not None:
        return best
    first = next((i for i, row in enumerate(rows) if any(cell.strip() for cell in row)), None)
    if first is None:
        return None
    filled = [cell for cell in rows[first] if cell.strip()]
    words = len(filled) > 1 and all(len(cell) < 40 and not _figured(cell) for cell in filled)
    return first if words and any(_figured(cell) for row in rows[first + 1 :] for cell in row) else None


def _figured(cell: str) -> bool:
    return any(char.isdigit() for char in cell)


def column_keys(headings: Sequence[str], width: int) -> list[str]:
    """A name for each column: its heading, numbered where it stands twice, ``column 4`` where it has none."""
    keys: list[str] = []
    seen: dict[str, int] = {}
    for index in range(max(width, len(headings))):
        heading = " ".join(headings[index].split())[:120] if index < len(headings) else ""
        key = heading or f"column {index + 1}"
        seen[key] = seen.get(key, 0) + 1
        keys.append(key if seen[key] == 1 else f"{key} #{seen[key]}")
    return keys


def plain_cells(cells: Mapping[str, Any] | Sequence[str]) -> list[str]:
    """The cells of a kept row, also where it says what was wrong with the form of their line."""
    return list(cells["cells"]) if isinstance(cells, Mapping) else list(cells)


def said_by(headings: Sequence[str], columns: Mapping[str, str], cells: Sequence[str]) -> tuple[str, str]:
    """What a row says that it is (its mark, else its type or model) and where it lies, as written."""
    keys = column_keys(headings, len(cells))
    named = {columns.get(key): " ".join(cell.split()) for key, cell in zip(keys, cells, strict=False) if cell.strip()}
    return (named.get(f.MARK) or named.get(f.TYPE) or named.get(f.MODEL) or "")[:120], named.get(f.PLACE, "")[:80]


def in_order(headings: Sequence[str], columns: Mapping[str, str]) -> dict[str, str]:
    """The kept fields of a list's columns from left to right (a database may keep them in another order)."""
    return {key: columns.get(key, f.OTHER) for key in column_keys(headings, len(columns))}


@dataclass(frozen=True, slots=True)
class ColumnTold:
    """What a column of a list was taken for, and why; ``sure`` as in ``headings.Proposal``."""

    column: str
    field: str
    reason: str
    sure: bool

    @property
    def is_text(self) -> bool:
        """Whether nothing was read from it: its cells are kept as they stand."""
        return self.field == f.OTHER


def columns_told(
    fields: Mapping[str, str], proposed: Sequence[Proposal], mapping: Mapping[str, str] | None
) -> list[ColumnTold]:
    """The columns of a list from left to right, by the mapping that was given, else as proposed."""
    if mapping is None:
        return [ColumnTold(key, fields[key], one.reason, one.sure) for key, one in zip(fields, proposed, strict=False)]
    named = {fold_heading(heading) or heading for heading in mapping}
    return [
        ColumnTold(key, field, "as the mapping says" if given else "the mapping does not name it", given)
        for key, field in fields.items()
        for given in [key in mapping or (fold_heading(key) or key) in named]
    ]


def kept_as_text(headings: Sequence[str], columns: Mapping[str, str]) -> list[str]:
    """The columns of a kept list that nothing is read from."""
    return [key for key, field in in_order(headings, columns).items() if field == f.OTHER]


def check_naming(columns: Mapping[str, str]) -> None:
    """Raises ValueError where no column of a list says what its things are: no row of it could be taken in."""
    fields = set(columns.values())
    if fields & {f.MARK, f.MODEL, f.TYPE} or {f.KIND, f.VALUE} <= fields:
        return
    told = ", ".join(f"{key} ({field.replace('_', ' ')})" for key, field in columns.items())
    raise ValueError(
        f"No column names the tube or what else a thing is. The list has: {told[:400]}. Say which of them is the "
        f"{f.MARK} (the type as marked) or the {f.MODEL}: on the page of its columns, or with --mapping."
    )


def check_columns(columns: object) -> dict[str, str]:
    """A mapping of headings to fields out of a file. Raises ValueError naming what is wrong."""
    if not isinstance(columns, Mapping) or not columns:
        raise ValueError("a mapping needs headings, each with what its column is")
    for heading, field in columns.items():
        if not isinstance(heading, str) or field not in f.FIELDS:
            raise ValueError(f"{heading!r}: {field!r} is nothing that a column can be; expected {', '.join(f.FIELDS)}")
    return {str(heading): str(field) for heading, field in columns.items()}


def mapped(keys: Sequence[str], columns: Mapping[str, str]) -> dict[str, str]:
    """The field of each column by a kept mapping; columns it does not name are kept as text.

    Raises ValueError where the list has none of its columns.
    """
    folded = {fold_heading(heading) or heading: field for heading, field in columns.items()}
    found = {key: columns.get(key) or folded.get(fold_heading(key) or key, "") for key in keys}
    if not any(found.values()):
        raise ValueError(f"the list has none of the columns of this mapping: {', '.join(columns)}")
    return {key: field or f.OTHER for key, field in found.items()}


def heading_of_mapping(rows: Sequence[Sequence[str]], columns: Mapping[str, str]) -> int | None:
    """Index of the row in which most headings of a kept mapping stand, or None."""
    wanted = {fold_heading(heading) or heading for heading in columns}
    scored = [(sum(fold_heading(cell) in wanted for cell in row if cell.strip()), -i) for i, row in enumerate(rows)]
    most, at = max(scored[:LOOKED_AT], default=(0, 0))
    return -at if most and most * 2 >= min(len(wanted), 4) else None
