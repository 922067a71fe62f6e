"""The lists that this program takes out, known again by their headings when they come in.

Each cell of such a list is one whole value: what is stamped stands under ``Marked``, and ``Type`` only bears it out.
The headings are those of ``queries.lists``; a test holds the two together.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.lists.rules import fields as f
from inventory.lists.rules.headings import Proposal, propose
from inventory.lists.rules.stamps import STAMP

#: Whose a thing is and how it was found last: loans and conditions have pages of their own.
STANDING_COLUMNS = (
    "Owner", "To be given back", "Looked at on", "State then", "Complete", "Looked at by", "Look again on",
)  # fmt: skip
_EVERY = {
    "Tag": f.NUMBER,
    "Place": f.PLACE,
    "Lent to": f.LENT,
    "Last seen": f.SEEN,
    "Not found on": f.MISSED,
    "Note": f.NOTE,
    "Left on": f.LEFT_ON,
    "How it left": f.LEFT_HOW,
    STAMP: f.IGNORED,
    "Evidence of title": f.TITLE,
    "Why it left": f.LEFT_WHY,
    "Authorised by": f.LEFT_BY,
    "Went to": f.LEFT_TO,
    "Proceeds": f.PROCEEDS,
    **dict.fromkeys(STANDING_COLUMNS, f.IGNORED),
}
_CAME = {"Acquired how (as found)": f.HOW, "Acquired from (as found)": f.FROM}  # a tube has columns for these
_PLATE = {"Serial": f.SERIAL, "Plate": f.PLATE, **_CAME}


@dataclass(frozen=True)
class OwnList:
    """One list: the kind of its rows, what each column is, and the headings by which it is known."""

    kind: str
    columns: Mapping[str, str]
    known_by: frozenset[str]


OWN_LISTS = (
    OwnList(
        f.TUBES,
        {
            **_EVERY, "Type": f.TYPE, "Marked": f.MARK, "Maker": f.MAKER, "Date code": f.DATE_CODE, "State": f.STATE,
            "In doubt": f.IGNORED, "Reserved": f.IGNORED,
            "In chassis": f.FITTED, "Position": f.OTHER, "Condition": f.CONDITION, "Acquired on": f.ACQUIRED_ON,
            "Acquired how": f.HOW, "Acquired from": f.FROM,
        },
        frozenset({"Tag", "Type", "Marked", "State"}),
    ),
    OwnList(
        f.PARTS,
        {
            **_EVERY, **_CAME, "What": f.MODEL, "Value or type": f.VALUE, "Maker": f.MAKER, "At least": f.LEAST,
            "At most": f.MOST, "Duds": f.DUDS, "To count": f.TO_COUNT, "Condition": f.CONDITION,
            "Reserved": f.IGNORED, "Serial": f.SERIAL,
            **dict(zip(("Kind of part", "Value in its unit", "Tolerance, %", "Rated, V", "Rated, W", "Rated, A",
                        "Construction", "Class", "Mounting", "Marking", "In words"), f.PART_TYPE, strict=True)),
        },
        frozenset({"Tag", "What", "At least", "At most"}),
    ),
    OwnList(
        f.COMPANIONS,
        {
            **_EVERY, **_PLATE, "What": f.MODEL, "Set model": f.FOR_SET, "Belongs to serial": f.MATE,
            "That number": f.MATE_PLATE, "Kept with": f.OTHER,
        },
        frozenset({"Tag", "What", "Set model", "Belongs to serial"}),
    ),
    OwnList(
        f.UNITS,
        {
            **_EVERY, **_PLATE, "Unit model": f.MODEL, "Covers from, kc": f.IGNORED, "Covers to, kc": f.IGNORED,
            "In chassis": f.FITTED, "Bay": f.OTHER,
        },
        frozenset({"Tag", "Unit model", "Serial"}),
    ),
    OwnList(f.CHASSIS, {**_EVERY, **_PLATE, "Set model": f.MODEL}, frozenset({"Tag", "Set model", "Serial", "Plate"})),
)  # fmt: skip


#: The lists of things that come back edited, each called as the kind of its rows.
COMES_BACK = frozenset(one.kind for one in OWN_LISTS)


def own_list(headings: Sequence[str]) -> OwnList | None:
    """The list of this program that has these headings, or None for a list of somebody else's."""
    here = {heading.strip() for heading in headings}
    return next((one for one in OWN_LISTS if one.known_by <= here), None)


def proposals(headings: Sequence[str], samples: Sequence[Sequence[str]] = ()) -> tuple[Proposal, ...]:
    """What each column is: in a list of this program's own by its heading, else as ``headings.propose`` says."""
    own = own_list(headings)
    found = propose(headings, samples)
    if own is None:
        return found
    return tuple(_own(own, one) for one in found)


def _own(own: OwnList, one: Proposal) -> Proposal:
    heading = one.heading.strip()
    beside = f.OTHER if one.field in own.columns.values() else one.field  # facts stand behind the columns of its own
    field = own.columns.get(heading, beside)
    reason = f"the heading says {heading!r}, in a list that this program took out"
    return Proposal(one.index, one.heading, field, reason, True, one.unit, True)
