"""Marks run together without a gap (JANCHS6SN7GT, CRC807, RCA6SN7GT), taken apart before reading."""

import re
from collections.abc import Sequence
from itertools import pairwise

from tubes.rules.stamp_atoms import Atom, Gap
from tubes.rules.stamp_tables import StampTables
from tubes.rules.stamp_words import BRAND_PREFIXES
from tubes.rules.text import strict_key

_SERVICES = ("JAN", "USN")
_UNKNOWN_CODE = re.compile("(C[A-Z]{1,3})(?=[0-9])")
_NAVY_NUMBER = re.compile("[0-9]{5,6}[A-Z]{0,2}")


def split_glued(atoms: Sequence[Atom], tables: StampTables) -> list[Atom]:
    """The atoms with service marks, maker codes and maker's marks cut off the numbers they are stuck to."""
    out: list[Atom] = []
    for atom in atoms:
        service = bool(out) and atom.gap in (Gap.TIGHT, Gap.LOOSE) and out[-1].text in _SERVICES
        cuts = [] if atom.unreadable else _cuts(atom.text, tables, service)
        out.extend(_cut(atom, cuts) if cuts else [atom])
    return out


def _has(text: str, tables: StampTables) -> bool:
    return tables.has(strict_key([text]))


def _cuts(text: str, tables: StampTables, service: bool) -> list[int]:
    if _has(text, tables):
        return []
    for mark in _SERVICES:
        rest = text[len(mark) :]
        if text.startswith(mark) and (rest in tables.makers or any(char.isdigit() for char in rest)):
            code = 0 if _has(rest, tables) else _code_length(rest, tables, loosely=True)
            return [3, 3 + code] if code and code < len(rest) else [3]
    code = _code_length(text, tables, loosely=service)
    if code:
        return [code]
    for brand in BRAND_PREFIXES:
        if text.startswith(brand) and _has(text[len(brand) :], tables):
            return [len(brand)]
    return []


def _code_length(text: str, tables: StampTables, *, loosely: bool) -> int:
    """Letters at the start that are a maker code; loosely behind JAN or USN, else only before a known number."""
    for length in tables.code_lengths:
        code, rest = text[:length], text[length:]
        if not rest or code not in tables.makers:
            continue
        known = _has(rest, tables) or _NAVY_NUMBER.fullmatch(rest) is not None
        if known and (loosely or length > 2):
            return length
        if loosely and rest[0].isdigit():
            return length
    unknown = _UNKNOWN_CODE.match(text) if loosely else None
    return unknown.end(1) if unknown and unknown.group(1) not in ("CV", "CK") else 0


def _cut(atom: Atom, cuts: Sequence[int]) -> list[Atom]:
    edges = [0, *cuts, len(atom.text)]
    parts: list[Atom] = []
    same_length = len(atom.text) == atom.end - atom.start
    for first, last in pairwise(edges):
        start, end = (atom.start + first, atom.start + last) if same_length else (atom.start, atom.end)
        text = atom.text[first:last]
        soviet = None if atom.raw[first:last].isascii() else atom.soviet and text
        parts.append(Atom(text, soviet, atom.raw[first:last], start, end, Gap.TIGHT if parts else atom.gap))
    return parts
