"""Types that bear a mark, by their own rows of a handbook, held against the types that the tables relate them to.

A base alone that is otherwise, on the pins and with the gain of the other, is a slip: the other's stands. Pins, cap or
diodes that are otherwise leave that open of the type: neither what its own row says nor what its kin has stands.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from tubes.rules.basing import Basing
from tubes.rules.figures import TypeFigures
from tubes.rules.handbook import BookRow, Handbook, Said, alike, base_agrees, cap_agrees, heater_agrees, pins_agree
from tubes.rules.lending import Lender
from tubes.rules.relations import NEAR, Kinship
from tubes.rules.sources import HANDBOOK

SUBMINIATURE = re.compile(r"\bsubminiature\b")
MOST_PINS = 0.75  # of one tube and of one that is near it

_SLIP = "Pins and gain are those of the {of}: the base is a slip, and that of the {of} stands."
_OPEN = "The {of}, that it is related to, has it otherwise: which of the two is right is not known, and neither stands."
_LETTERED = "The letters of the {of} promise another tube than its row names: which it is, is not known."
_MARKED = "Pins are those of the {of}, and its mark says subminiature: the base is a slip; which it is, is not known."


#: European letters of two systems (liqui-vt, tcuk-tx), and what the handbook calls them; it exchanges the two.
_LETTERS = re.compile(r"[A-HKPUVXY]C(?P<second>[FHL])[0-9]{1,4}")
_SECOND: Mapping[str, tuple[str, str]] = {
    "H": ("TH", "triode-hexode"), "L": ("TP", "triode-pentode"), "F": ("TP", "triode-pentode")
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Held:
    """What rows of a type say otherwise than its kin. ``slips``: words of the rows that are none of the type;
    ``unsettled``: what is not known of it, by its rows or by its kin."""

    said: tuple[Said, ...]
    slips: frozenset[str] = frozenset()
    unsettled: frozenset[str] = frozenset()


def held(
    name: str, rows: Iterable[BookRow], notes: Iterable[str], book: Handbook, rated: Mapping[str, TypeFigures],
    kin: Kinship, diagrams: Mapping[str, Basing], marks: Iterable[str] = (),
) -> Held | None:  # fmt: skip
    """What the clean rows of a type say otherwise than the type it takes from, its marks, or one that is near it.

    ``notes``: of its marks; ``marks``: other names of the same tube; ``rated``: types with figures of their own. None
    where they say nothing otherwise, or where base or heater make the row one of another tube.
    """
    rows = [row for row in rows if row.usable]
    lender = lender_of(name, rated, kin)
    against = [one for row in rows if lender for one in _against(row, name, lender, book, rated, diagrams)]
    slips = frozenset(one.field for one in against if one.field == "base")
    said = against or [
        one for row in rows for one in (*_by_words(row, name, notes, book), *_near(row, name, book, rated, kin))
    ]
    said += [one for row in rows for one in _by_letters(row, name, (name, *marks))]
    return Held(tuple(dict.fromkeys(said)), slips, frozenset(one.field for one in said) - slips) if said else None


def lender_of(name: str, rated: Mapping[str, TypeFigures], kin: Kinship) -> Lender | None:
    """The type that one without figures takes from: that it is a form of, else that a row relates it to."""
    if form := kin.forms.base(name, rated):
        return Lender(form, "form", "")
    return next((one for one in kin.forms.lenders.get(name, ()) if one.type in rated and one.type != name), None)


def settled(own: TypeFigures, found: Held | None) -> TypeFigures:
    """A type without the words of its rows that are slips or unsettled; what the keeper himself states stands."""
    if found is None:
        return own
    mine = {name for name in found.unsettled if name in own.words and own.words[name].grade != HANDBOOK}
    gone = {name for name in found.slips | found.unsettled if name in own.words} - mine
    told = [
        f"{one.field} {one.theirs} in its row of the handbook, {one.ours} by the {one.of}"
        for one in found.said
        if one.field in found.unsettled - mine
    ]
    words = {name: word for name, word in own.words.items() if name not in gone}
    return replace(own, words=words, unsettled=found.unsettled - mine, disputes=tuple(dict.fromkeys(told)))


def is_slip(row: BookRow, base: TypeFigures, book: Handbook, diagrams: Mapping[str, Basing]) -> bool:
    """Whether the base of a row is a slip: it has the pins of a type, by diagram or own row, and no other gain."""
    basing, gains = diagrams.get(base.word("basing")), (base.number("gm_umho"), row.gm_umho)
    mine = [one for one in book.rows_of(base.name)[0] if one.usable and one.electrodes == row.electrodes]
    drawn = basing is not None and pins_agree(row, basing, base.word("kind")) is True
    if not drawn and not any(row.pins and row.pins == one.pins for one in mine):
        return False
    return not all(gains) or alike("gm_umho", *gains)  # type: ignore[arg-type]


def marked_otherwise(row: BookRow, notes: Iterable[str], book: Handbook) -> BookRow | None:
    """Of a row on another base than the subminiature that its mark names: one of the same pins that is on such a base.

    The nearest of them by gain and plate current.
    """
    if row.base.startswith("subminiature") or not any(SUBMINIATURE.search(note) for note in notes):
        return None
    twins = [one for one in book.rows if one.usable and (one.electrodes, one.pins) == (row.electrodes, row.pins)]

    def far(one: BookRow) -> tuple[float, float]:
        return abs((one.gm_umho or 0) - (row.gm_umho or 0)), abs((one.plate_ma or 0) - (row.plate_ma or 0))

    return min((one for one in twins if one.base.startswith("subminiature")), key=far, default=None)


def _against(
    row: BookRow, name: str, lender: Lender, book: Handbook, rated: Mapping[str, TypeFigures],
    diagrams: Mapping[str, Basing],
) -> Iterator[Said]:  # fmt: skip
    """What a row says otherwise than the type that lends, but for what the words between the two speak of."""
    base, withheld = rated[lender.type], lender.withheld

    def say(field: str, ours: str, theirs: str, why: str = _OPEN) -> Said:
        told = why.format(of=base.name)
        return Said(name, field, ours, theirs, False, row.type, row.source, of=base.name, why=told)

    if heater_agrees(row, base) is False and "heater_v" not in withheld:
        return
    if base_agrees(row, base) is False and "base" not in withheld:
        if is_slip(row, base, book, diagrams):
            yield say("base", base.word("base"), row.base, _SLIP)
        return
    basing = diagrams.get(base.word("basing"))
    if basing and "basing" not in withheld and pins_agree(row, basing, base.word("kind")) is False:
        yield say("basing", basing.code, " ".join(f"{pin}={what}" for pin, what in row.pins))
    if "cap" not in withheld and cap_agrees(row, base.word("cap")) is False:
        yield say("cap", base.word("cap"), " ".join(row.cap) or "none")
    if row.electrodes.startswith("D") and base.word("kind") and not base.form.diodes:
        yield say("kind", base.word("kind"), row.electrodes)


def _by_words(row: BookRow, name: str, notes: Iterable[str], book: Handbook) -> Iterator[Said]:
    if twin := marked_otherwise(row, notes, book):
        why = _MARKED.format(of=twin.type)
        yield Said(name, "base", twin.base, row.base, False, row.type, row.source, of=twin.type, why=why)


def _by_letters(row: BookRow, name: str, marks: Iterable[str]) -> Iterator[Said]:
    """Triode-hexodes that a row calls triode-pentodes, and the reverse, by the European letters of their numbers."""
    for mark in marks:
        match = _LETTERS.fullmatch(mark)
        letters, kind = _SECOND[match["second"]] if match else ("", "")
        if match and row.electrodes in ("TP", "TH") and row.electrodes != letters:
            yield Said(
                name, "kind", kind, row.electrodes, False, row.type, row.source, of=mark, why=_LETTERED.format(of=mark)
            )
            return


def _near(
    row: BookRow, name: str, book: Handbook, rated: Mapping[str, TypeFigures], kin: Kinship
) -> Iterator[Said]:  # fmt: skip
    """Another base than that of a type that is near, where systems, cap, gain and most pins are its, and no word of the
    row between the two speaks of bases."""
    for one in kin.relatives(name):
        base = rated.get(one.type)
        if base is None or one.relation != NEAR or one.unchecked or base_agrees(row, base) is not False:
            continue
        if "base" in Lender(one.type, one.relation, one.note).withheld:
            continue
        if any(_most(row, other) for other in book.rows_of(one.type)[0] if other.usable):
            why = _OPEN.format(of=base.name)
            yield Said(name, "base", base.word("base"), row.base, False, row.type, row.source, of=base.name, why=why)


def _most(row: BookRow, other: BookRow) -> bool:
    """Whether two rows are of one tube but for a pin or two."""
    if (row.electrodes, row.cap) != (other.electrodes, other.cap) or not row.pins or not row.gm_umho:
        return False
    pins = len(set(row.pins) & set(other.pins)) >= MOST_PINS * len(row.pins)
    return pins and bool(other.gm_umho) and alike("gm_umho", other.gm_umho or 0, row.gm_umho)
