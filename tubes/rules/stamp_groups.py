"""One mark on a stamp: the longest group of atoms that is a number, and every reading of it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from tubes.rules.handbook_names import reads_anywhere
from tubes.rules.schemes import (
    CIVIL,
    JAN,
    PLAIN,
    PREFIXES,
    PRO_ELECTRON,
    SOVIET,
    US_NAVY,
    Form,
    Setting,
    caution,
    forms,
    is_soviet_form,
)
from tubes.rules.stamp_atoms import JOINED, Atom, Gap, key_of, segment_end, soviet_of
from tubes.rules.stamp_tables import Reading, StampTables, rank
from tubes.rules.stamp_words import WORDS
from tubes.rules.text import all_cyrillic, fold_key

NOT_IN_TABLES = "not in the tables"
_GT_G_NOTE = "GT/G: made as the GT, serves for the G as well (common practice, no source)"
_UNITS = frozenset({"V", "MA", "KC", "MC", "HZ", "PF", "MF"})
_LOOSE_LETTERS = frozenset("ABCDEFGLMPQSTWXY")
_LOOSE_SUFFIXES = frozenset(
    {"GT", "GTA", "GTB", "GTY", "GA", "GB", "GC", "WA", "WB", "WGT", "WGTA", "WGTB", "WGA", "WGB"}
)


@dataclass(frozen=True, slots=True)
class Group:
    """Atoms `start` to `end` (exclusive) and what they can mean."""

    start: int
    end: int
    readings: tuple[Reading, ...]
    ambiguous: bool = False


@dataclass(frozen=True, slots=True)
class Context:
    """What stood before the number: a service mark, a maker code, a dropped maker's mark."""

    service: str | None = None  # JAN, USN, NAVY or USA
    code: str | None = None
    dropped: str | None = None
    alone: bool = False


def ends_well(atoms: Sequence[Atom], end: int) -> bool:
    """A number may end at a gap that is not tight, or before words that are tied on (6SN7GT-NOS)."""
    stop = end
    while stop < len(atoms) and atoms[stop].gap is Gap.TIGHT:
        if atoms[stop].text not in WORDS:
            return False
        stop += 1
    return True


def _number_end(atoms: Sequence[Atom], start: int) -> int:
    end = segment_end(atoms, start)
    while end > start + 1 and atoms[end - 1].text in WORDS:
        end -= 1
    return end


def _found(atoms: Sequence[Atom], tables: StampTables, context: Context) -> list[Reading]:
    found = tables.find(key_of(atoms), "".join(atom.text for atom in atoms))
    written = soviet_of(atoms)
    if written is not None:
        found = _unique([*tables.find_soviet(written), *found])
    return _in_context(found, tables, context, written is not None)


def hit(atoms: Sequence[Atom], start: int, tables: StampTables, context: Context) -> Group | None:
    """The longest join of neighbouring atoms from `start` that the tables have."""
    best: Group | None = None
    length = 0
    for end in range(start + 1, len(atoms) + 1):
        atom = atoms[end - 1]
        if atom.unreadable or (end > start + 1 and atom.gap not in JOINED):
            break
        length += len(atom.text)
        if length > tables.longest + 4:  # a Cyrillic letter may stand for several Latin ones, never the reverse
            break
        if ends_well(atoms, end):
            whole = context.alone or (start == 0 and end == len(atoms))
            found = _found(atoms[start:end], tables, context)
            readings = [one for one in found if whole or _stands(one, context)]
            if readings:
                best = Group(start, end, tuple(readings))
    return _finish(atoms, best, tables, context) if best else None


def _stands(reading: Reading, context: Context) -> bool:
    """A short name that only a handbook has (12, DL, C9) stands for itself only alone or behind a maker's mark."""
    marked = context.service or context.code or context.dropped
    return not reading.grade or bool(marked) or reads_anywhere(reading.designation)


def _finish(atoms: Sequence[Atom], group: Group, tables: StampTables, context: Context) -> Group:
    shared = _gt_g(atoms, group, tables)
    if shared is not None:
        return shared
    key = key_of(atoms[group.start : group.end])
    latin = soviet_of(atoms[group.start : group.end]) is None
    schemes = frozenset(reading.scheme for reading in group.readings)
    warning = "" if key in tables.book.another else caution(key, schemes, latin=latin)  # that is told already
    readings = tuple(add_note(reading, warning) for reading in group.readings)
    group = replace(group, readings=readings, ambiguous=_is_ambiguous(readings, tables))
    return _loose_suffix(atoms, group, tables, context) or group


def _gt_g(atoms: Sequence[Atom], group: Group, tables: StampTables) -> Group | None:
    """`6V6GT/G` and `6V6G/GT` behind the hit of the first half."""
    end = group.end
    if end >= len(atoms) or atoms[end].gap is not Gap.SLASH or not ends_well(atoms, end + 1):
        return None
    key = key_of(atoms[group.start : end])
    if key.endswith("GT") and atoms[end].text == "G":
        shared, written = key, "GT/G"
    elif key.endswith("G") and atoms[end].text == "GT":
        shared, written = key + "T", "G/GT"
    else:
        return None
    name = tables.types.get(shared)
    if name is None or not name.endswith("GT"):
        return None
    scheme = group.readings[0].scheme if group.readings[0].scheme == JAN else PLAIN
    first = group.readings[0]
    reading = Reading(scheme, name[:-2] + written, first.maker_code, first.maker, name, "same", _GT_G_NOTE)
    return Group(group.start, end + 1, (reading,))


def _loose_suffix(atoms: Sequence[Atom], group: Group, tables: StampTables, context: Context) -> Group | None:
    """`VT 94 D`: a letter over a space may be a suffix or not; both readings, or None if no suffix stands there."""
    end = group.end
    if end >= len(atoms) or atoms[end].gap is not Gap.LOOSE or not ends_well(atoms, end + 1):
        return None
    text = atoms[end].text
    followed = atoms[end + 1] if end + 1 < len(atoms) else None
    spaced_letters = followed is not None and followed.gap is Gap.LOOSE and len(followed.text) == 1
    if atoms[end].unreadable or text not in _LOOSE_LETTERS | _LOOSE_SUFFIXES or spaced_letters:
        return None
    begins = hit_end(atoms, end, tables)
    if begins > end + 1:  # the letter begins a number of its own: VT-231 E 1148
        return None
    schemes = {reading.scheme for reading in group.readings}
    known = any(reading.type is not None for reading in group.readings)
    wider = _null_readings(atoms[group.start : end + 1], tables, context, Setting())
    with_suffix = [reading for reading in wider if reading.scheme in schemes] or wider
    if not with_suffix:
        return None
    if not known and len(text) > 1:  # 6SN7 GTB: no tube 6SN7 is known, and GTB is nothing by itself
        return Group(group.start, end + 1, tuple(with_suffix), ambiguous=len(with_suffix) > 1)
    with_suffix = [add_note(reading, f"the {text} stands apart: it may not belong") for reading in with_suffix]
    return Group(group.start, end + 1, (*group.readings, *with_suffix), ambiguous=True)


def hit_end(atoms: Sequence[Atom], start: int, tables: StampTables) -> int:
    """Index behind the longest join from `start` that the tables have; `start` if there is none."""
    best = start
    for end in range(start + 1, min(len(atoms), start + 6) + 1):
        if atoms[end - 1].unreadable or (end > start + 1 and atoms[end - 1].gap not in JOINED):
            break
        if ends_well(atoms, end) and tables.has(key_of(atoms[start:end])):
            best = end
    return best


def form(atoms: Sequence[Atom], start: int, tables: StampTables, context: Context) -> Group | None:
    """A number the tables do not have, in the form of a scheme; its type stays unknown."""
    for end, slash in _form_ends(atoms, start):
        part = atoms[start:end]
        over_damage = end < len(atoms) and atoms[end].gap is Gap.SLASH and atoms[end].unreadable
        if over_damage or any(atom.unreadable for atom in part):  # 10E/3?2 is not a number 10E
            continue
        setting = Setting(slash=slash, navy=bool(context.code or context.service), alone=context.alone)
        readings = _null_readings(part, tables, context, setting)
        if readings:
            end, readings = _unknown_gt_g(atoms, end, readings)
            group = Group(start, end, tuple(readings), ambiguous=len({reading.scheme for reading in readings}) > 1)
            return _loose_suffix(atoms, group, tables, context) or group
    return None


def _form_ends(atoms: Sequence[Atom], start: int) -> list[tuple[int, bool]]:
    end = _number_end(atoms, start)
    ends = []
    if end < len(atoms) and atoms[end].gap is Gap.SLASH:
        ends.append((_number_end(atoms, end), True))
    ends.append((end, False))
    apart = end == start + 1 and end < len(atoms) and atoms[end].gap is Gap.LOOSE
    if apart and atoms[start].text in PREFIXES and atoms[end].text[0].isdigit():
        ends.append((_number_end(atoms, end), False))
    return ends


def european_apart(atoms: Sequence[Atom], start: int, tables: StampTables, context: Context) -> Group | None:
    """`EF 22`: letters of European form over a space before a bare number; never the number without them alone."""
    number = start + 1
    if number >= len(atoms) or atoms[number].gap is not Gap.LOOSE or segment_end(atoms, number) != number + 1:
        return None
    letters, figures = atoms[start], atoms[number]
    if letters.unreadable or figures.unreadable or letters.text in WORDS or not letters.text.isalpha():
        return None
    if not figures.text.isdigit():
        return None
    wide = _null_readings(atoms[start : number + 1], tables, context, Setting())
    joined = [reading for reading in wide if reading.scheme == PRO_ELECTRON]
    alone = hit(atoms, number, tables, context) or form(atoms, number, tables, context) if joined else None
    if not joined or alone is None:
        return Group(start, number + 1, tuple(joined)) if joined else None
    joined = [add_note(reading, f"the {letters.text} stands apart: it may not belong") for reading in joined]
    return Group(start, alone.end, (*alone.readings, *joined), ambiguous=True)


def _unknown_gt_g(atoms: Sequence[Atom], end: int, readings: list[Reading]) -> tuple[int, list[Reading]]:
    over = end < len(atoms) and atoms[end].gap is Gap.SLASH and atoms[end].text == "G" and ends_well(atoms, end + 1)
    if not over or not all(reading.designation.endswith("GT") for reading in readings):
        return end, readings
    return end + 1, [replace(reading, designation=reading.designation + "/G") for reading in readings]


def _null_readings(part: Sequence[Atom], tables: StampTables, context: Context, setting: Setting) -> list[Reading]:
    key = key_of(part)
    found = _soviet_form(part)
    mixed = not found or not all_cyrillic("".join(atom.raw for atom in part))
    if mixed:
        found += forms(key, setting)
    base = tables.base_of(key) if mixed and len(key) <= tables.longest + 4 else None
    if base and not found:
        found = _from_base(base, tables, setting)
    readings = [_null_reading(each, key, base, tables) for each in found]
    return _in_context(readings, tables, context, not mixed)


def _soviet_form(part: Sequence[Atom]) -> list[Form]:
    written = soviet_of(part)
    if written is None:
        return []
    cyrillic = "-".join(atom.raw for atom in part)
    return [Form(SOVIET, written)] if is_soviet_form(cyrillic) else []


def _from_base(base: tuple[str, str], tables: StampTables, setting: Setting) -> list[Form]:
    """A suffix on a number whose form no grammar tells: it stays in the scheme of that number."""
    key, suffix = base
    if key.isdigit() and len(key) < 4 and (len(suffix) > 2 or suffix in _UNITS):  # 10PCS, 45V
        return []
    schemes = [row.scheme for row in tables.rows.get(key, ())] or [PLAIN]
    name = tables.names.get(key.replace("-", ""), key)
    if setting.slash and "/" not in name:
        return []
    return [Form(scheme, name + suffix) for scheme in dict.fromkeys(schemes)]


def _null_reading(each: Form, key: str, base: tuple[str, str] | None, tables: StampTables) -> Reading:
    note = NOT_IN_TABLES
    if base is not None and _base_scheme_fits(each.scheme, base[0], tables):
        name = tables.names.get(base[0].replace("-", ""), base[0])
        note += f"; {name} is, but a suffix makes a different tube"
    elif base is None:
        longer = tables.longer(key, 3)
        if longer:
            note += f"; {', '.join(longer)} {'are' if longer[1:] else 'is'}, but a suffix makes a different tube"
    return Reading(each.scheme, each.designation, None, None, None, None, note)


def _base_scheme_fits(scheme: str, base: str, tables: StampTables) -> bool:
    schemes = {row.scheme for row in tables.rows.get(base, ())}
    if base in tables.types:
        schemes.add(PLAIN)
    return scheme in schemes or (scheme in CIVIL and bool(schemes & CIVIL))


def _in_context(found: list[Reading], tables: StampTables, context: Context, cyrillic: bool) -> list[Reading]:
    """Behind JAN a civil number is read in scheme jan; VT, CV and Navy numbers keep their own."""
    if context.service == JAN.upper():
        civil_first = sorted(found, key=lambda reading: reading.scheme != PLAIN)
        found = [
            replace(reading, scheme=JAN) if reading.scheme in CIVIL else reading
            for reading in civil_first
            if cyrillic or reading.scheme != SOVIET  # JAN is never on a Soviet tube
        ]
        found = sorted(_unique(found), key=rank)
    note = f"{context.dropped}- in front is a maker's mark, not part of the number" if context.dropped else ""
    return [add_note(_with_maker(reading, tables, context.code), note) for reading in found]


def _with_maker(reading: Reading, tables: StampTables, code: str | None) -> Reading:
    if reading.scheme == US_NAVY and "-" in reading.designation:
        code = reading.designation.split("-")[0]  # CW-931 carries its maker code itself
    if code is None:
        return reading
    return replace(reading, maker_code=code, maker=tables.makers.get(code))


def _unique(readings: Sequence[Reading]) -> list[Reading]:
    kept: dict[tuple[str, str, str | None], Reading] = {}
    for reading in readings:
        kept.setdefault((reading.scheme, fold_key(reading.designation), reading.type), reading)
    return list(kept.values())


def add_note(reading: Reading, note: str) -> Reading:
    if not note:
        return reading
    return replace(reading, note=f"{reading.note}; {note}" if reading.note else note)


def _is_ambiguous(readings: Sequence[Reading], tables: StampTables) -> bool:
    meanings: dict[tuple[str, str], list[str]] = {}
    for reading in readings:
        if reading.type is not None:
            meanings.setdefault((reading.scheme, reading.designation), []).append(reading.type)
    return any(not agree(one, other, tables) for one, other in combinations(meanings.values(), 2))


def agree(one: Sequence[str], other: Sequence[str], tables: StampTables) -> bool:
    """True when some type of the one and some type of the other are tied together by the tables."""
    return any(tables.linked(a, b) for a in one for b in other)
