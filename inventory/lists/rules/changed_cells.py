"""One cell of a list that came back, beside what the register says now: left alone, changed, or changed on both."""

from inventory.lists.rules.rewriting import plain, rewrites, value_of
from inventory.lists.rules.stamps import Stamp

#: Left alone; left alone but written otherwise (told); changed in the list; changed in the list and here meanwhile.
ALONE, REWRITTEN, CHANGED, BOTH = "alone", "rewritten", "changed", "both"


def what_became_of(heading: str, cell: str, now: str, stamp: Stamp | None) -> str:
    """What became of a cell. ``now``: the same cell as the list out would say it today.

    Without a stamp nothing can be told of what changed here meanwhile: what differs is a change of the list.
    """
    if cell == now or plain(cell) == plain(now):
        return ALONE
    if stamp is None:
        return REWRITTEN if rewrites(cell, now) else CHANGED
    stands = stamp.bears(heading, now)  # nobody changed it here
    if stands and (value_of(cell) == value_of(now) or rewrites(cell, now)):
        return REWRITTEN
    if stamp.may_bear(heading, cell):
        return REWRITTEN if stands else ALONE
    return CHANGED if stands else BOTH
