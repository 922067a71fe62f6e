"""What belongs together goes together, or says why."""

from collections.abc import Sequence

from inventory.holdings.models import Item
from inventory.holdings.queries.together import before_it_leaves, left_behind, left_behind_of, out_of_the_house
from inventory.house.writing import refuse


def check_leaving(
    item: Item, why: str, field: str, *, to_owner: bool = False, parting: bool = False, how: str = ""
) -> None:
    """Refuse that a thing leaves what it belongs with, or what counts on it, unless it is said why.

    ``to_owner``: it goes back to whom it belongs to. ``parting``: it leaves for good, in the words of ``how``.
    """
    asked = "" if why.strip() else before_it_leaves(item, to_owner=to_owner, parting=parting, how=how)
    if asked:
        raise refuse(field, asked)


def check_carried_off(items: Sequence[Item], into: str, reason: str) -> None:
    """Refuse that things go out of their room while something counts on them, unless it is said why.

    ``into``: the path they go to; empty: none that is known.
    """
    if not reason.strip() and (asked := out_of_the_house(items, into)):
        raise refuse("reason", asked)


def check_together(items: Sequence[Item], why: str, field: str) -> None:
    """Refuse that things go without what belongs with them, unless it is said why."""
    if why.strip():
        return
    left = left_behind(items[0]) if len(items) == 1 else left_behind_of(items)
    if left:
        raise refuse(field, left)
