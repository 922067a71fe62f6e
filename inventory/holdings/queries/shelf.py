"""How a stamp reads during a shelf session."""

from dataclasses import dataclass

from inventory.holdings.models import Item
from inventory.holdings.queries.counts import tag_in
from inventory.holdings.queries.register import tubes_here
from tubes.models import TubeType
from tubes.queries import Knowledge, knowledge, other_meaning, tube_for_stamp, type_for_stamp, types_like
from tubes.rules.stamp import StampAnswer
from tubes.rules.text import fold_key
from tubes.rules.this_tube import counted_mark


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
    address: bool = False  # the code of some label was scanned, and it is of no thing here
    begun: tuple[tuple[str, str], ...] = ()  # types of which the text is a beginning: name, words
    counted: int = 0  # a count that may be glued to the number: ``begun`` holds that number
    beside: str = ""  # a number of the stamp that is not in the tables and leaves its type open

    @property
    def says(self) -> str:
        if self.address:
            return "This is an address and no stamp."
        if self.label_of:
            return f"This is the label of {self.label_of}, a thing of the register, and no stamp."
        if self.type:
            alone = next((one.note for one in self.answer.readings if one.grade), "")
            return f"Read as {self.type.name}, {alone}." if alone else f"Read as {self.type.name}."
        if self.meanings and self.beside:
            told = f"{self.beside} is not in the tables, whatever {', '.join(self.meanings)} is"
            return f"{told}: saved without a type, to be settled later."
        if self.meanings:
            other = other_meaning(self.answer)
            return f"It can mean {', '.join(self.meanings)}{other}: saved without a type, to be settled later."
        if self.counted:
            return f"{self.counted} of {self.begun[0][1]}? Choose it, and enter each tube by itself."
        if self.begun:
            return "It is no full number: choose what it begins, or save it without a type."
        return "It is not in the tables: saved without a type."


def types_begun(text: str, known: Knowledge, most: int = 9) -> list[tuple[str, str]]:
    """(type, words) of the types whose mark begins with a text that is no full number: 6SN7, 12AX, 5U4.

    A figure more makes another number (CV19 is no beginning of CV1988), a letter more often only names the form. The
    plain ones first, then the ruggedized with their W; the shorter before the longer.
    """
    readings = known.read(text).readings
    key = fold_key(readings[0].designation if readings else text)
    if len(key) < 3 or not any(sign.isdigit() for sign in key):
        return []
    found: dict[str, str] = {}
    for name in sorted(types_like(key, known, 500), key=lambda one: ("W" in fold_key(one)[len(key) :], len(one))):
        rest = fold_key(name)[len(key) :]
        if not fold_key(name).startswith(key) or not rest or (key[-1].isdigit() and rest[0].isdigit()):
            continue
        kind = name if name in known.types else type_for_stamp(known.read(name), known)
        if kind and (kind not in found or name == kind):
            found[kind] = name if name == kind else f"{name}, which is {kind}"
    return list(found.items())[:most]


def shelf_reading(text: str) -> ShelfReading:
    """Read a stamp; count what is here already under any of its numbers."""
    text = text.replace("\x00", "")
    known = knowledge()
    answer = known.read(text)
    settled = tube_for_stamp(answer, known)
    name = settled.type
    kind = TubeType.objects.get(name=name) if name else None
    names = known.kin.same_as(name) if name else frozenset[str]()
    meanings = tuple(dict.fromkeys(r.type for r in answer.readings if r.type))
    tag = tag_in(text)
    label = Item.objects.filter(tag=tag).exists() if tag else False
    here = tubes_here().filter(type__name__in=names).count() if names else 0
    begun = () if name or meanings or label else tuple(types_begun(text, known))
    glued = counted_mark(text, known.tables) if not (name or meanings or label) else None
    if glued and (of := type_for_stamp(known.read(glued[1]), known)):
        begun = ((of, glued[1]),)
    else:
        glued = None
    same, address = tuple(sorted(names - {name})), "://" in text and not label
    return ShelfReading(
        text,
        answer,
        kind,
        same,
        meanings,
        here,
        tag if label else "",
        address,
        begun,
        glued[0] if glued else 0,
        settled.beside,
    )
