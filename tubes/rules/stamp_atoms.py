"""A stamp cut into atoms (unbroken runs of letters and figures) with the gaps between them."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from tubes.rules.text import strict_key, to_latin, to_soviet


class Gap(Enum):
    """What stands before an atom."""

    TIGHT = "tight"  # hyphen, dot or nothing: belongs together
    LOOSE = "loose"  # a space: may belong together
    SLASH = "slash"  # dual mark, or part of the number
    HARD = "hard"  # bracket, equals sign and the like: never together
    LIST = "list"  # comma, semicolon: another tube


JOINED = frozenset({Gap.TIGHT, Gap.LOOSE, Gap.SLASH})


@dataclass(frozen=True, slots=True)
class Atom:
    """One run; `text` in capitals with look-alikes as Latin, `soviet` its other reading if it has Cyrillic letters."""

    text: str
    soviet: str | None
    raw: str
    start: int
    end: int
    gap: Gap
    lost: bool = False  # a figure cannot be read
    dead: bool = False  # already refused for another reason

    @property
    def unreadable(self) -> bool:
        return self.lost or self.dead


_WORD = re.compile(r"[^\W_]+")
_LOST_AFTER = re.compile(r"[-./]*[?*_#\ufffd\u25a1\u25af]+")  # a mark behind a figure: the next one is lost
_LOST_BEFORE = re.compile(r"[?*_\ufffd\u25a1\u25af]+[-./]*$")  # not #: `#45` is number 45
_LOST_ALONE = re.compile(r"[?*_\ufffd\u25a1\u25af]|\.\.")
_HARD = frozenset('()[]{}<>=:+&|"')
_TIGHT = frozenset("-.")
_APART = frozenset(" -.'")
_OVER = frozenset(" -./")


def _gap_kind(gap: str) -> Gap | None:
    """The kind of a gap, or None where an unknown sign stands in for a figure."""
    chars = set(gap)
    if chars & {",", ";"}:
        return Gap.LIST
    if chars & _HARD:
        return Gap.HARD
    if "/" in chars:
        return Gap.SLASH if chars <= _OVER else Gap.HARD
    if " " in chars:  # a strange sign between spaces may stand for a lost figure: never join over it
        return Gap.LOOSE if chars <= _APART and ".." not in gap else Gap.HARD
    return Gap.TIGHT if chars <= _TIGHT and ".." not in gap else None


def _make(text: str, start: int, end: int, gap: Gap, *, lost: bool) -> Atom:
    raw = text[start:end].upper()
    return Atom(to_latin(raw), to_soviet(raw), raw, start, end, gap, lost)


def atoms_of(text: str) -> list[Atom]:
    """Cut a lightly normalised text; an atom with a lost figure keeps its mark (2?1) and is flagged."""
    atoms: list[Atom] = []
    last = 0
    for found in _WORD.finditer(text):
        gap = text[last : found.start()]
        _take(atoms, text, gap, found.start(), found.end())
        last = found.end()
    behind = _LOST_AFTER.match(text, last)
    if atoms and behind:
        atoms[-1] = _make(text, atoms[-1].start, behind.end(), atoms[-1].gap, lost=True)
    return atoms


def _take(atoms: list[Atom], text: str, gap: str, start: int, end: int) -> None:
    after = _LOST_AFTER.match(gap) if atoms else None
    before = _LOST_BEFORE.search(gap, after.end() if after else 0)
    if before is None and after is None and text[start:end].isdigit():
        before = _LOST_ALONE.search(gap) if " " in gap else None  # VT ? 31
    kind = _gap_kind(gap[after.end() if after else 0 : before.start() if before else len(gap)])
    if gap == "'" and text[start:end] in ("s", "S"):  # two 6SN7GT's
        kind = Gap.HARD
    if atoms and (kind is None or (after and after.end() == len(gap))):
        atoms[-1] = _make(text, atoms[-1].start, end, atoms[-1].gap, lost=True)
        return
    if after:
        edge = atoms[-1].end + after.end()
        atoms[-1] = _make(text, atoms[-1].start, edge, atoms[-1].gap, lost=True)
    first = start - len(gap) + before.start() if before else start
    atoms.append(_make(text, first, end, kind or Gap.HARD, lost=before is not None))
    _taint(atoms)


def _taint(atoms: list[Atom]) -> None:
    """`VT-2 ?1` and `2? 31`: figures beside a lost figure over a space are not read as a number of their own."""
    if len(atoms) < 2 or atoms[-1].gap not in (Gap.LOOSE, Gap.SLASH):
        return
    before, after = atoms[-2], atoms[-1]
    if before.lost and after.text.isdigit() and (after.gap is Gap.SLASH or not before.text[-1].isalnum()):
        atoms[-1] = replace(after, lost=True)
    elif after.lost and after.gap is Gap.LOOSE and not after.text[0].isalnum() and before.text[-1].isdigit():
        atoms[-2] = replace(before, lost=True)


def segment_end(atoms: Sequence[Atom], start: int) -> int:
    """Index behind the last atom that is tightly joined to the one at `start`."""
    end = start + 1
    while end < len(atoms) and atoms[end].gap is Gap.TIGHT:
        end += 1
    return end


def key_of(atoms: Sequence[Atom]) -> str:
    return strict_key([atom.text for atom in atoms])


def soviet_of(atoms: Sequence[Atom]) -> str | None:
    """The atoms written out from Cyrillic, hyphens between atoms kept; None if there is no Cyrillic letter."""
    if all(atom.soviet is None for atom in atoms):
        return None
    return "-".join(atom.soviet or atom.text for atom in atoms)


def runs(indices: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Rising indices as runs of neighbours (first, last)."""
    first: int | None = None
    last = -2
    for index in indices:
        if first is not None and index != last + 1:
            yield first, last
            first = index
        if first is None:
            first = index
        last = index
    if first is not None:
        yield first, last
