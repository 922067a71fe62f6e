"""The entries that a phone keeps while it has no signal: each does what a page does, by the same form and action."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.phone.actions import of_things, of_work
from inventory.phone.actions.taking import Taken
from inventory.phone.rules.entries import Entry


@dataclass(frozen=True)
class EntryKind:
    """A kind of entry. Whoever may ``verb`` rows of ``model`` may make it; ``take`` raises ValidationError or
    ``StandsOtherwise`` for what is not taken.
    """

    key: str
    words: str
    verb: str
    model: str
    take: Callable[[Entry, Any, date], Taken]


KINDS: Mapping[str, EntryKind] = {
    kind.key: kind
    for kind in (
        EntryKind("tube", "a tube by its stamp", "add", "holdings.tube", of_things.take_tube),
        EntryKind("move", "a thing to a place", "add", "holdings.movement", of_things.take_move),
        EntryKind("state", "the state of a tube", "change", "holdings.tube", of_things.take_state),
        EntryKind("note", "a note on a tube", "change", "holdings.tube", of_things.take_note),
        EntryKind("count", "a thing of a stock-take", "add", "holdings.stocktakeline", of_things.take_count),
        EntryKind("test", "a test of a tube", "add", "running.tubetest", of_work.take_test),
        EntryKind("run", "hours of a set", "add", "running.run", of_work.take_run),
    )
}
