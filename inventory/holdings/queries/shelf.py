"""How a stamp reads during a shelf session."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count

from inventory.holdings.models import Item
from inventory.holdings.queries.counts import tag_in
from inventory.holdings.queries.register import tubes_here
from inventory.holdings.rules.shelf_line import ShelfLine, read_line
from tubes.models import TubeType
from tubes.queries import Knowledge, knowledge, other_meaning, tube_for_stamp, type_for_stamp, types_like
from tubes.rules.stamp import StampAnswer
from tubes.rules.text import fold_key
from tubes.rules.this_tube import ThisTube, counted_mark


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


def shelf_line(text: str, before: str = "") -> ShelfLine:
    """A line typed at the shelf in its parts; a text that the tables know as a whole (6 X 5GT) is never parted."""
    line = read_line(text.replace("\x00", ""), before)
    if not line.count or line.ditto:
        return line
    whole = knowledge().read(text.replace("\x00", ""))
    known = any(reading.type and not whole.leftover for reading in whole.readings)
    return ShelfLine(text.strip()) if known else line


def shelf_reading(text: str) -> ShelfReading:
    """Read a stamp; count what is here already under any of its numbers."""
    return shelf_readings([text])[0]


def shelf_readings(texts: Iterable[str]) -> list[ShelfReading]:
    """Read stamps, in a number of queries that does not grow with them."""
    known = knowledge()
    plain = [text.replace("\x00", "") for text in texts]
    tags = {text: tag for text in plain if (tag := tag_in(text))}
    labels = set(Item.objects.filter(tag__in=tags.values()).values_list("tag", flat=True)) if tags else set()
    answers = [known.read(text) for text in plain]
    settled = [tube_for_stamp(answer, known) for answer in answers]
    names = [known.kin.same_as(one.type) if one.type else frozenset[str]() for one in settled]
    wanted = {name for same in names for name in same}
    kinds = {kind.name: kind for kind in TubeType.objects.filter(name__in={one.type for one in settled if one.type})}
    counts = tubes_here().filter(type__name__in=wanted).order_by().values_list("type__name").annotate(Count("pk"))
    here = dict(counts) if wanted else {}
    return [
        _reading(text, answer, one, kinds, same, here, tags.get(text, ""), labels, known)
        for text, answer, one, same in zip(plain, answers, settled, names, strict=True)
    ]


def _reading(
    text: str,
    answer: StampAnswer,
    settled: ThisTube,
    kinds: dict[str, TubeType],
    names: frozenset[str],
    here: dict[str, int],
    tag: str,
    labels: set[str],
    known: Knowledge,
) -> ShelfReading:
    name, label = settled.type, tag in labels
    meanings = tuple(dict.fromkeys(r.type for r in answer.readings if r.type))
    begun = () if name or meanings or label else tuple(types_begun(text, known))
    glued = counted_mark(text, known.tables) if not (name or meanings or label) else None
    if glued and (of := type_for_stamp(known.read(glued[1]), known)):
        begun = ((of, glued[1]),)
    else:
        glued = None
    return ShelfReading(
        text,
        answer,
        kinds[name] if name else None,
        tuple(sorted(names - {name})),
        meanings,
        sum(here.get(one, 0) for one in names),
        tag if label else "",
        "://" in text and not label,
        begun,
        glued[0] if glued else 0,
        settled.beside,
    )
