"""New rows of a list of this program's own, as they are read: when it comes back, and when a row is answered later."""

from collections.abc import Sequence
from dataclasses import replace

from inventory.lists.rules import fields as f
from inventory.lists.rules.records import Line
from inventory.lists.rules.rewriting import plain
from tubes.queries import Knowledge, type_for_stamp


def with_marked_type(line: Line, headings: Sequence[str], kind: str, known: Knowledge) -> Line:
    """A new tube of which nobody gave the type has the one that its mark means, as one entered on a page."""
    if kind != f.TUBES or not {"Type", "Marked"} <= set(headings):
        return line
    cells = [*line.cells, *[""] * (len(headings) - len(line.cells))]
    type_at, mark = headings.index("Type"), plain(cells[headings.index("Marked")])
    if not mark or cells[type_at].strip():
        return line
    cells[type_at] = type_for_stamp(known.read(mark), known) or ""
    return replace(line, cells=tuple(cells))
