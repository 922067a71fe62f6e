"""Rows of a handbook under numbers that are marks: whose figures they are, and which of them are of another tube.

A type that bears a mark and has no row of figures gets those of its own clean rows. A row under a mark of a type whose
base or heater is not that type's is of another tube of that number: told, never merged.
"""

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from tubes.rules.basing import Basing
from tubes.rules.figures import TypeFigures
from tubes.rules.handbook import HEATER_PCT, BookRow, Handbook, Said, Told, base_agrees, heater_agrees, socket_of
from tubes.rules.handbook_figures import figures_alone
from tubes.rules.handbook_held import SUBMINIATURE, is_slip, marked_otherwise
from tubes.rules.lending import Lender
from tubes.rules.relations import SAME, Kinship, is_unchecked
from tubes.rules.schemes import CIVIL_SCHEMES, US_VT
from tubes.rules.stamp_tables import DesignationRow
from tubes.rules.text import fold_key

_DIODE = re.compile(r"\bdiode\b(?!-)")
_AMPLIFIER = re.compile(r"triode|pentode|tetrode|hexode|heptode")
_HEATER = re.compile(r"\b(?P<one>[\d.]+)(?:/(?P<other>[\d.]+))? V heater\b")


def denied_by(note: str, row: BookRow) -> str:
    """What of a row the words of a mark deny: base (subminiature), kind (a diode) or heater volts; empty: nothing."""
    if SUBMINIATURE.search(note) and not row.base.startswith("subminiature"):
        return "base"
    if _DIODE.search(note) and not _AMPLIFIER.search(note) and not {"D", "R"} & set(row.electrodes):
        return "kind"
    match = _HEATER.search(note)
    volts = [float(one) for one in match.groups() if one] if match else []
    if not row.heater_v or not volts:
        return ""
    return "" if any(abs(row.heater_v / one - 1) <= HEATER_PCT / 100 for one in volts) else "heater_v"


def denials(name: str, rows: Iterable[BookRow], notes: Iterable[str]) -> list[Said]:
    """Rows of another tube by the words of marks, of a type that has no figure to tell it: those words, the row's."""
    notes = list(dict.fromkeys(notes))
    return [
        Said(name, field, note, _OF_ROW[field](row), False, row.type, row.source)
        for row in rows for note in notes if (field := denied_by(note, row))
    ]  # fmt: skip


_OF_ROW: Mapping[str, Callable[[BookRow], str | float]] = {
    "base": lambda row: row.base,
    "kind": lambda row: row.electrodes,
    "heater_v": lambda row: row.heater_v or 0,
}


@dataclass(frozen=True)
class Marked:
    """``figures``: numbers, as the handbook prints them, to the types whose figures their rows are; ``others``: rows,
    (number, system), that are of another tube than what bears their number."""

    figures: Mapping[str, str]
    others: frozenset[tuple[str, int]]


def marked_in(
    book: Handbook, types: Iterable[str], rated: Mapping[str, TypeFigures], marks: Iterable[DesignationRow],
    kin: Kinship, diagrams: Mapping[str, Basing],
) -> Marked:  # fmt: skip
    """What the rows under the names of types without figures of their own, and under marks, are.

    Figures of a type are those of its clean rows: one base and one heater in all without a remark, under its very
    number and its civil marks, which neither the words of its marks deny nor the type that a row relates it to. A tube
    that is rated under another name needs none.
    """
    marks, types = list(marks), list(types)
    notes: dict[str, list[str]] = defaultdict(list)
    also: dict[str, list[BookRow]] = defaultdict(list)
    for mark in marks:
        if not is_unchecked(mark.note):
            for name in {mark.type, mark.designation}:
                notes[name].append(mark.note)
            if mark.relation == SAME and mark.scheme in CIVIL_SCHEMES and not book.rows_of(mark.designation)[1]:
                also[mark.type] += [row for row in book.rows_of(mark.designation)[0] if row.usable]
    figures: dict[str, str] = {}
    alone: dict[str, TypeFigures] = {}
    others: set[tuple[str, int]] = set()
    for name in types:
        rows, shared = book.rows_of(name)
        usable = [row for row in rows if row.usable]
        if shared or not usable or any(other in rated for other in kin.same_as(name)):
            continue
        slips = [(row, marked_otherwise(row, notes[name], book)) for row in usable]
        read = [replace(row, base=twin.base) if twin else row for row, twin in slips]  # its pins tell of that base
        denied = [row for row, twin in slips if twin is None and any(denied_by(note, row) for note in notes[name])]
        lenders = [one for one in kin.forms.lenders.get(name, ()) if one.type in rated]
        denied += [row for row in usable if any(_unlike(row, one, rated, book, diagrams) for one in lenders)]
        others |= {(row.type, row.system) for row in denied}
        if not denied and _alike([*read, *also[name]]):
            figures |= {row.type: name for row in usable}
            alone[name] = TypeFigures(name, *figures_alone(read))
    held = told_under_marks(book, marks, {**alone, **rated}, set(types) | set(rated), diagrams)
    others |= {(row.type, row.system) for _, told in held for row in told.others}
    return Marked(figures, frozenset(others))


def _alike(rows: list[BookRow]) -> bool:
    """Whether rows of one tube tell one base, one heater (as near as a tester sets it) and the same systems."""
    volts = [row.heater_v or 0 for row in rows]
    systems = {name: frozenset(row.electrodes for row in rows if row.type == name) for name in {r.type for r in rows}}
    alike = len({socket_of(row.base) for row in rows}) == len(set(systems.values())) == 1
    return alike and max(volts) <= min(volts) * (1 + HEATER_PCT / 100)


def told_under_marks(
    book: Handbook, marks: Iterable[DesignationRow], figures: Mapping[str, TypeFigures], types: Iterable[str],
    diagrams: Mapping[str, Basing],
) -> Iterator[tuple[DesignationRow, Told]]:  # fmt: skip
    """What the rows under the marks of types say of them, mark by mark; a mark that is the name of a type is none.

    A row on a British base is none of a tube of the U.S. Signal Corps (common practice, no source).
    """
    names = {fold_key(name) for name in types}
    for mark in sorted(set(marks), key=lambda one: (one.designation, one.type)):
        if mark.relation != SAME or is_unchecked(mark.note) or fold_key(mark.designation) in names:
            continue
        if not book.rows_of(mark.designation)[0] or book.rows_of(mark.designation)[1]:
            continue
        one = figures.get(mark.type) or TypeFigures(mark.type)
        told = book.told(one, diagrams.get(one.word("basing")), under=mark.designation)
        if mark.scheme == US_VT and (british := tuple(row for row in told.rows if row.base.startswith("british"))):
            said = tuple(Said(one.name, "base", "not known", row.base, False, row.type, row.source) for row in british)
            rows = tuple(row for row in told.rows if row not in british)
            told = replace(told, rows=rows, others=told.others + british, said=told.said + said)
        yield mark, told


def _unlike(
    row: BookRow, lender: Lender, rated: Mapping[str, TypeFigures], book: Handbook, diagrams: Mapping[str, Basing]
) -> bool:  # fmt: skip
    """Whether a row has another base or heater than the type that lends, and the words between them do not say so.

    On the very pins of that type another base is a slip.
    """
    base = rated[lender.type]
    other_base = base_agrees(row, base) is False and "base" not in lender.withheld
    return (other_base and not is_slip(row, base, book, diagrams)) or (
        heater_agrees(row, base) is False and "heater_v" not in lender.withheld
    )
