"""Many things changed alike, in one step: as if a list of them had gone out, been edited, and come back.

So what will change is shown first, each cell old and new, what the page of a thing would refuse is held with the
reason, and one step back takes all of it back.
"""

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any

from django.utils import timezone

from inventory.holdings.models import Item
from inventory.house.writing import refuse
from inventory.lists.actions.bring_back import keep_laid
from inventory.lists.actions.came_back import AT_ONCE, in_figures, lay_out_changes
from inventory.lists.actions.edited import EDITED
from inventory.lists.actions.files import Table
from inventory.lists.actions.write import ITEM_KINDS
from inventory.lists.models import ImportRun
from inventory.lists.queries.out import LISTS, TAG, cells_of, stamped
from inventory.lists.rules.records import Line
from inventory.lists.rules.spreadsheet_cells import safe_cell
from inventory.lists.rules.stamps import STAMP

BEHIND = frozenset({"Note", "Condition"})  # what is typed for many stands behind what each says already


def kind_of(items: Sequence[Item]) -> str:
    """The list in which all of some things stand. Raises ValidationError where they are of several kinds."""
    kinds = {item.kind for item in items}
    found = next((name for name, kind in ITEM_KINDS.items() if kinds == {kind} and name in EDITED), "")
    if not found:
        told = ", ".join(sorted({str(item.get_kind_display()) for item in items}))
        raise refuse("tags", f"Things of one kind are changed together; these are: {told or 'none'}.")
    return found


def keep_alike(items: Sequence[Item], cells: Mapping[str, str], *, by: Any) -> ImportRun:
    """Keep a change of some things to be looked at: what each is to say under some headings of its list out.

    Raises ValidationError for things of several kinds, for a column that their list does not have or that is not
    changed from a list, and where nothing is to be changed.
    """
    name = kind_of(items)
    if not cells:
        raise refuse("__all__", "Say what is to be changed.")
    if odd := sorted(set(cells) - EDITED[name].headings):
        raise refuse("__all__", f"{LISTS[name].title} have no {', '.join(odd).lower()} to be changed here.")
    lines = [Line(1, (TAG, *cells, STAMP)), *_lines(name, items, cells)]
    told = "\n".join("\t".join(line.cells) for line in lines)
    digest = hashlib.sha256(f"{timezone.now().isoformat()}\n{told}".encode("utf-8", "replace")).hexdigest()
    count = len(lines) - 1
    called = f"{count} of {LISTS[name].title.lower()} together: {', '.join(cells).lower()}"
    return keep_laid(lay_out_changes(lines), Table(digest, iter(())), called, by=by, together=True)


def _lines(name: str, items: Sequence[Item], cells: Mapping[str, str]) -> list[Line]:
    one, headings = LISTS[name], LISTS[name].headings
    lines: list[Line] = []
    tags = [item.tag for item in items]
    for at in range(0, len(tags), AT_ONCE):
        found = one.every().filter(item__tag__in=tags[at : at + AT_ONCE])
        _, rows = stamped(name, headings, cells_of(one, found), timezone.now())
        for row in rows:
            now = dict(zip(headings, map(in_figures, row), strict=False))
            told = [safe_cell(_behind(now[heading], cell, heading)) for heading, cell in cells.items()]
            lines.append(Line(len(lines) + 2, (now[TAG], *told, str(row[-1]))))
    return lines


def _behind(now: str, cell: str, heading: str) -> str:
    """What a cell is to say. A note stands behind what is there, unless that is the last that it says."""
    if heading not in BEHIND or not cell.strip():
        return cell
    said, told = now.strip(), cell.strip()
    return now if said == told or said.endswith(f"\n{told}") else f"{said}\n{told}".strip()
