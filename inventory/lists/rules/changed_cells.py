"""One cell of a list that came back, beside what the register says now: left alone, changed, or changed on both."""

from collections.abc import Mapping

from inventory.lists.rules.rewriting import plain, rewrites, value_of
from inventory.lists.rules.stamps import STAMP, Stamp

#: Left alone; left alone but written otherwise (told); changed in the list; changed in the list and here meanwhile.
ALONE, REWRITTEN, CHANGED, BOTH = "alone", "rewritten", "changed", "both"


def what_became_of(heading: str, cell: str, now: str, stamp: Stamp | None, *, out: bool = True) -> str:
    """What became of a cell. ``now``: the same cell as the list out would say it today.

    ``out``: whether the column went out with the list. Of one that did not, and without a stamp, nothing can be told of
    what changed here meanwhile: what differs is a change of the list; beside a column that was added later only where
    the register says nothing.
    """
    if cell == now or plain(cell) == plain(now):
        return ALONE
    if stamp is None:
        return REWRITTEN if rewrites(cell, now) else CHANGED
    if not out:
        return ALONE if not plain(cell) else _beside(cell, now)
    stands = stamp.bears(heading, now)  # nobody changed it here
    if stands and (value_of(cell) == value_of(now) or rewrites(cell, now)):
        return REWRITTEN
    if stamp.may_bear(heading, cell):
        return REWRITTEN if stands else ALONE
    return CHANGED if stands else BOTH


def _beside(cell: str, now: str) -> str:
    if rewrites(cell, now):
        return REWRITTEN
    return BOTH if plain(now) else CHANGED


class WentOut:
    """Which columns of a list went out with it: those of which any row bears a mark, once all marks are accounted for.

    All rows of a list went out with the same columns. A column of which no row bears one may have been changed in every
    row; it is known not to have gone out only where the stamps have no mark to spare for it.
    """

    def __init__(self) -> None:
        self.known: set[str] = set()

    def look(self, cells: Mapping[str, str], now: Mapping[str, str], stamp: Stamp) -> None:
        """Look at one row."""
        for heading, cell in cells.items():
            if heading in self.known or heading == STAMP:
                continue
            if stamp.may_bear(heading, cell) or (heading in now and stamp.bears(heading, now[heading])):
                self.known.add(heading)

    def has(self, heading: str, stamp: Stamp | None) -> bool:
        """Whether a column went out, or may have."""
        return stamp is None or heading in self.known or len(stamp.marks) > len(self.known)
