"""How a stamp reads during a shelf session."""

from dataclasses import dataclass

from inventory.holdings.models import Item
from inventory.holdings.queries.counts import tag_in
from inventory.holdings.queries.register import tubes_here
from tubes.models import TubeType
from tubes.queries import knowledge, type_for_stamp
from tubes.rules.stamp import StampAnswer


@dataclass(frozen=True)
class ShelfReading:
    """What a text on a tube means. ``type`` is None where the mark does not settle it; ``says`` tells why, or what.

    ``label_of``: the text is the tag (or label) of this thing of the register, no stamp.
    """

    text: str
    answer: StampAnswer
    type: TubeType | None
    same: tuple[str, ...]
    meanings: tuple[str, ...]
    here: int
    label_of: str = ""

    @property
    def says(self) -> str:
        if self.label_of:
            return f"This is the label of {self.label_of}, a thing of the register, and no stamp."
        if self.type:
            return f"Read as {self.type.name}."
        if self.meanings:
            return f"It can mean {', '.join(self.meanings)}: saved without a type, to be settled later."
        return "It is not in the tables: saved without a type."


def shelf_reading(text: str) -> ShelfReading:
    """Read a stamp; count what is here already under any of its numbers."""
    known = knowledge()
    answer = known.read(text)
    name = type_for_stamp(answer, known)
    kind = TubeType.objects.get(name=name) if name else None
    names = known.kin.same_as(name) if name else frozenset[str]()
    meanings = tuple(dict.fromkeys(r.type for r in answer.readings if r.type))
    tag = tag_in(text)
    label = Item.objects.filter(tag=tag).exists() if tag else False
    here = tubes_here().filter(type__name__in=names).count() if names else 0
    return ShelfReading(text, answer, kind, tuple(sorted(names - {name})), meanings, here, tag if label else "")
