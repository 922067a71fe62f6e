"""What a column of a list is by what stands beside it: two of one kind, a day, the counts of pieces, a second number.

Common practice, no source.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from inventory.lists.rules import fields as f
from inventory.lists.rules.column_content import guess_content
from inventory.lists.rules.heading_text import (
    TEST_WORDS,
    fold_heading,
    may_name_a_tester,
    names_a_reading,
    names_money,
    service_letters,
)
from inventory.lists.rules.heading_words import PART_WORDS

if TYPE_CHECKING:
    from inventory.lists.rules.headings import Proposal

_OF_READINGS = frozenset({f.READING, f.MINIMUM, f.INSTRUMENT})
#: Signs that a list tells of tests at all.
_OF_TESTS = _OF_READINGS | {f.TESTED_ON}


def beside_others(
    found: list["Proposal"], samples: Sequence[Sequence[str]], columns: Sequence[Sequence[str]]
) -> tuple["Proposal", ...]:
    """The proposals of a list, each looked at beside the others; ``columns``: the filled cells of each."""
    found = _pieces(_testers(found, columns), columns)
    return _once(_dated(_tested(_least(found, samples), columns)))


def _pieces(found: list["Proposal"], columns: Sequence[Sequence[str]]) -> list["Proposal"]:
    """`Pezzi`, `Teile`, `Pièces` beside a column of tubes, with figures below: so many of them, and no parts."""
    if not any(one.field == f.MARK for one in found):
        return found
    for at, one in enumerate(found):
        if one.field not in (f.MODEL, f.OTHER, f.QUANTITY) or fold_heading(one.heading) not in _PIECES:
            continue
        guess, share = guess_content(columns[at])
        if guess == f.QUANTITY and share >= 0.8:
            reason = f"the heading says {one.heading!r}, beside a column of tubes, and the cells below are counts"
            found[at] = replace(one, field=f.QUANTITY, reason=reason, sure=True, by_heading=True)
    return found


_PIECES = frozenset(PART_WORDS) | {"pieces", "piezas", "stucke"}


def _testers(found: list["Proposal"], columns: Sequence[Sequence[str]]) -> list["Proposal"]:
    """Figures under letters and figures that a tester may bear: readings beside other signs of tests, else asked."""
    tests = any(one.field in _OF_TESTS for one in found)
    for at, one in enumerate(found):
        if one.by_heading or not may_name_a_tester(one.heading, columns[at]):
            continue
        reason = f"the heading says {one.heading!r}: readings on a tester of that name? Say so if they are"
        field = f.READING if tests else f.OTHER
        found[at] = replace(one, field=field, reason=reason, sure=False, by_heading=tests)
    return found


def _tested(found: list["Proposal"], columns: Sequence[Sequence[str]]) -> list["Proposal"]:
    """What stands under `Tested`: the day or the instrument where the cells tell, the day beside a column of states."""
    for at, one in enumerate(found):
        if fold_heading(one.heading) not in TEST_WORDS and one.field != f.TESTED_ON:
            continue
        guess, share = guess_content(columns[at])
        looks = guess if share >= 0.6 else ""
        state = any(other.field == f.STATE for other in found if other.index != at)
        if looks == f.INSTRUMENT or (looks == f.DATED and one.field == f.STATE):
            field = f.INSTRUMENT if looks == f.INSTRUMENT else f.TESTED_ON
            reason = f"{share:.0%} of the cells look like {'instruments' if looks == f.INSTRUMENT else 'dates'}"
            found[at] = replace(one, field=field, reason=f"the heading says {one.heading!r}, {reason}", sure=False)
        elif one.field == f.STATE and state and looks != f.STATE:
            found[at] = replace(one, field=f.TESTED_ON, reason="tested, beside a column of states", sure=False)
    return found


def _least(found: list["Proposal"], samples: Sequence[Sequence[str]]) -> list["Proposal"]:
    """A column of figures without a heading, right of the readings and nowhere above them, may be their minimum."""
    for at, one in enumerate(found[1:], start=1):
        if one.heading or found[at - 1].field != f.READING:
            continue
        rows = [(row[at - 1].strip(), row[at].strip()) for row in samples[:200] if at < len(row) and row[at].strip()]
        pairs = [(float(reading), float(least)) for reading, least in rows if _plain(reading) and _plain(least)]
        if len(pairs) >= 3 and len(pairs) == len(rows) and all(0 < least < reading for reading, least in pairs):
            reason = "figures right of the readings, each below its reading"
            found[at] = replace(one, field=f.MINIMUM, reason=reason, sure=False)
    return found


def _plain(cell: str) -> bool:
    return re.fullmatch(r"[0-9]{1,6}(?:\.[0-9]{1,4})?", cell) is not None


def _dated(found: list["Proposal"]) -> list["Proposal"]:
    """A bare `Date` belongs to what it stands beside: where it came from, or what it tested."""
    for at, one in enumerate(found):
        if one.field != f.DATED:
            continue
        beside = {other.field for other in found[max(0, at - 2) : at + 3]}
        tests = (f.READING, f.MINIMUM, f.STATE, f.INSTRUMENT)
        for near, field in (((f.FROM, f.PRICE), f.ACQUIRED_ON), (tests, f.TESTED_ON)):
            if beside & set(near):
                named = next(name for name in near if name in beside).replace("_", " ")
                found[at] = replace(one, field=field, reason=f"a date beside {named}", sure=False)
                break
    return found


_MANY = frozenset({f.DATED, f.OTHER, f.IGNORED, f.NOTE, f.CONDITION, f.PLACE, f.VALUE})


def _once(found: list["Proposal"]) -> tuple["Proposal", ...]:
    """A field goes to one column, the sure one first; the others are kept as text."""
    taken: dict[str, int] = {}
    named = [one for one in found if one.field == f.READING and names_a_reading(one.heading)]
    several = _OF_READINGS if len(named) > 1 else frozenset()
    for one in sorted(found, key=lambda p: (bool(service_letters(p.heading)), not p.sure, p.index)):
        if one.field == f.MARK and f.MARK in taken and service_letters(one.heading):
            reason = f"{one.reason}: a second number of the tube, read where column {taken[f.MARK] + 1} is empty"
            found[one.index] = replace(one, reason=reason)
            continue
        if one.field in _MANY or (one.field in several and (one.field != f.READING or one in named)):
            continue
        if one.field in taken and f.PRICE not in taken and names_money(one.heading):
            reason = f"{one.reason}, and column {taken[one.field] + 1} is {one.field.replace('_', ' ')} already"
            found[one.index] = replace(one, field=f.PRICE, reason=reason, sure=False, unit="")
            taken[f.PRICE] = one.index
        elif one.field in taken:
            reason = f"{one.reason}, but column {taken[one.field] + 1} is {one.field.replace('_', ' ')} already"
            found[one.index] = replace(one, field=f.OTHER, reason=reason, sure=False, unit="")
        else:
            taken[one.field] = one.index
    return tuple(found)
