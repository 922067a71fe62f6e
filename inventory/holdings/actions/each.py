"""One act on many things in one step: tried on each first, told, and then done with those that take it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.holdings.models import Item


@dataclass(frozen=True, slots=True)
class Done:
    """What became of one thing: what was so before, what is so now; ``refused``: why nothing was done."""

    item: Item
    before: str
    after: str = ""
    refused: str = ""


@transaction.atomic
def on_each(
    items: Iterable[Item], act: Callable[[Item], str], told: Callable[[Item], str], *, write: bool
) -> list[Done]:
    """Do something with each of some things. ``act`` does it and says what is so then; ``told`` what was before.

    A thing of which ``act`` raises ValidationError is left as it is and told with the reason; the others go on. Without
    ``write`` all of it is taken back again: so it is seen before it is done.
    """
    found = []
    for item in items:
        before = told(item)
        try:
            with transaction.atomic():
                found.append(Done(item, before, act(item)))
        except ValidationError as refusal:
            found.append(Done(item, before, refused=" ".join(refusal.messages)))
    if not write:
        transaction.set_rollback(True)
    return found
