"""The stamp reader: what is printed on a tube or a carton -> every possible reading, and what is left over.

The text is scanned from left to right. At each place the longest join of neighbours that the tables have wins; then
service marks, maker codes and maker's marks are looked through; then a number in the form of a scheme is kept without
a type. A number that is tied together is read whole or not at all: 6SN7GTB is never read as 6SN7GT.
"""

import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from tubes.rules.schemes import EIA, OBSOLETE, UK_CV, UK_SERVICES, US_VT, used_by_both
from tubes.rules.stamp_atoms import JOINED, Atom, Gap, atoms_of, key_of, runs, segment_end
from tubes.rules.stamp_groups import Context, Group, add_note, agree, european_apart, form, hit
from tubes.rules.stamp_refuse import damaged_end, lost_text, mark_dead, mend_soft_marks, spreadsheet_damage
from tubes.rules.stamp_split import split_glued
from tubes.rules.stamp_tables import DesignationRow, Reading, StampTables
from tubes.rules.stamp_words import AMERICAN, BRAND_PREFIXES, BRITISH, WORDS, date_end, is_counted
from tubes.rules.text import fold_key, light, not_british, with_cv_numbers, with_tenths

__all__ = ["DesignationRow", "Reading", "StampAnswer", "StampTables", "fold_key", "read_stamp"]

MAX_LENGTH = 200
_SERVICES = {"JAN": "JAN", "USN": "USN", "USNAVY": "USN", "NAVY": "NAVY", "USA": "USA"}
_DISAGREE = "the two marks disagree"


@dataclass(frozen=True, slots=True)
class StampAnswer:
    """`stamp` the text that was read; `leftover` its other words in order; `refused` what was not read, and why."""

    stamp: str
    readings: tuple[Reading, ...]
    leftover: str
    ambiguous: bool
    refused: str | None

    def as_dict(self) -> dict[str, Any]:
        """The answer in plain lists and dictionaries, ready for JSON."""
        return {
            "stamp": self.stamp,
            "readings": [_told(reading) for reading in self.readings],
            "leftover": self.leftover,
            "ambiguous": self.ambiguous,
            "refused": self.refused,
        }


def _told(reading: Reading) -> dict[str, Any]:
    """A reading as a dictionary; `grade` is there only where it has something to say."""
    cells = asdict(reading)
    return cells if reading.grade else {key: value for key, value in cells.items() if key != "grade"}


@dataclass(slots=True)
class _Scan:
    tables: StampTables
    written: str
    atoms: list[Atom]
    groups: list[Group] = field(default_factory=list)
    left: list[int] = field(default_factory=list)
    said: list[str] = field(default_factory=list)


def read_stamp(text: str, tables: StampTables) -> StampAnswer:
    """Read a stamp of any content; at most the first 200 characters are read, and `refused` says so."""
    stamp, said = _bounded(text)
    written = light(stamp)
    if not written:
        return StampAnswer(stamp, (), "", False, "; ".join(said) or "nothing to read")
    answer = _read(stamp, written, said, tables)
    if not answer.readings and not answer.refused:
        answer = _tied_marks(stamp, written, tables) or answer
    answer = _by_handbook(answer, written, said, tables.wide) if tables.wide else answer
    if not (answer.readings or answer.refused or answer.leftover):
        return replace(answer, refused="no letter and no figure to read")
    return answer


def _by_handbook(answer: StampAnswer, written: str, said: list[str], wide: StampTables) -> StampAnswer:
    """The answer with the types that only a handbook names, where the tables have nothing of the stamp.

    Also where letters stand apart before a number of figures that the tables have: PEN 45 is no 45. Figures beside such
    a name (10 MHL4) are as often a count as a type: both are told, and neither is settled.
    """
    typed = [reading for reading in answer.readings if reading.type]
    if any(not reading.designation.isdigit() for reading in typed) or (typed and len(written.split()) < 2):
        return answer
    wider = _read(answer.stamp, written, said, wide)
    booked = [reading for reading in wider.readings if reading.grade or (reading.type and not typed)]
    if not booked:
        return answer
    if not typed:
        return wider
    figures = fold_key(typed[0].designation)  # all of it one name, the letters and the number?
    if len(typed) == 1 and len(wider.readings) == 1 and fold_key(booked[0].designation).endswith(figures):
        return wider
    named = [reading for reading in booked if not reading.designation.isdigit()]
    return replace(wider, ambiguous=True) if named else answer


def _tied_marks(stamp: str, written: str, tables: StampTables) -> StampAnswer | None:
    """Two marks tied by a hyphen (VT-231-6SN7GT): read as a dual mark only where each half bears out the other."""
    for at in (index for index, char in enumerate(written) if char == "-"):
        halves = written[:at].strip(), written[at + 1 :].strip()
        if not all(half and tables.has(fold_key(half)) for half in halves):
            continue
        answer = _read(stamp, " / ".join(halves), [], tables)
        if not answer.ambiguous and all(reading.type for reading in answer.readings):
            return answer
    return None


def _read(stamp: str, written: str, said: list[str], tables: StampTables) -> StampAnswer:
    plain, written = written, with_cv_numbers(written)
    by_stock = written != plain
    written = mend_soft_marks(with_tenths(written), tables)
    spans, spoilt = spreadsheet_damage(written, tables)
    foreign = not_british(written)
    spans = [*spans, *(span for span, _ in foreign)]
    atoms = split_glued(mark_dead(atoms_of(written), spans), tables)
    scan = _Scan(tables, written, atoms, said=[*said, *spoilt])
    position = 0
    while position < len(atoms):
        position = _step(scan, position)
    scan.said += [why for _, why in foreign]
    groups, disagree = _compared(scan)
    readings = tuple(dict.fromkeys(_by_stock(reading, by_stock) for group in groups for reading in group.readings))
    left = _leftover(scan, spans)
    return StampAnswer(
        stamp,
        readings,
        left,
        disagree or any(group.ambiguous for group in groups) or _of_either(readings, left, written, tables),
        "; ".join(dict.fromkeys(scan.said)) or None,
    )


def _of_either(readings: Sequence[Reading], left: str, written: str, tables: StampTables) -> bool:
    """True for a lone mark that two different tubes bear, of which the tables have this one alone.

    A short number that another service used too (VR90, VT60A, VT90), or a mark under which a handbook has another tube
    (7D9, 6156). A maker code, a second mark or a word of whose numbers it is of beside it settles that, and so do the
    hyphen of the U.S. numbers (VT-90) and Cyrillic letters.
    """
    if len({reading.designation for reading in readings}) != 1:
        return False
    beside = set(_words(left))
    if not written.isascii() or any(r.maker_code or not r.type for r in readings):
        return False
    return any(
        not (r.scheme == US_VT and _HYPHENED_VT.search(written.upper()))
        and not _said_to_be(r.scheme, beside)
        and (used_by_both(r.scheme, r.designation) or _names_another(r, tables))
        for r in readings
    )


#: Schemes of one nation, and its words; a word of the other (VT90 RAF) settles nothing.
_NATIONS = {
    US_VT: (AMERICAN, BRITISH), OBSOLETE: (AMERICAN, BRITISH), EIA: (AMERICAN, BRITISH),
    UK_SERVICES: (BRITISH, AMERICAN),
}  # fmt: skip


def _said_to_be(scheme: str, beside: set[str]) -> bool:
    """Whether words beside a number name the nation of its scheme, and not the other."""
    own, other = _NATIONS.get(scheme, (frozenset(), frozenset()))
    return bool(beside & own) and not beside & other


_HYPHENED_VT = re.compile(r"\bVT\s?-")


def _names_another(reading: Reading, tables: StampTables) -> bool:
    """Whether a handbook has another tube under a mark that is no type name: that name would stand for its own tube.

    Also where it has two tubes whose numbers differ in a stroke or hyphen alone (AC/P, ACP).
    """
    key = fold_key(reading.designation)
    if reading.grade and key in tables.book.twice:
        return True
    return key in tables.book.another and reading.relation == "same" and key not in tables.types


def _words(text: str) -> list[str]:
    return re.findall("[A-Z]+", text.upper().replace(".", ""))


def _by_stock(reading: Reading, by_stock: bool) -> Reading:
    return add_note(reading, "by its NATO stock number") if by_stock and reading.scheme == UK_CV else reading


def _bounded(text: str) -> tuple[str, list[str]]:
    if len(text) <= MAX_LENGTH:
        return text, []
    stamp = text[:MAX_LENGTH]
    if not text[MAX_LENGTH].isspace():  # a number cut in the middle would be another number
        stamp = stamp[: max((index for index, char in enumerate(stamp) if char.isspace()), default=0)]
    return stamp, [f"longer than {MAX_LENGTH} characters: only the beginning was read"]


def _step(scan: _Scan, start: int) -> int:
    """Read or leave what begins at `start`; the index to go on from."""
    atoms, tables = scan.atoms, scan.tables
    damaged = damaged_end(atoms, start)
    if damaged is not None:
        if any(atom.lost and not atom.dead for atom in atoms[start:damaged]):
            shown = scan.written[atoms[start].start : atoms[damaged - 1].end]
            scan.said += filter(None, [lost_text(atoms, start, damaged, shown, tables)])
        return _leave(scan, start, damaged)
    dated = date_end(atoms, start)
    if dated is not None and not tables.has(key_of(atoms[start:dated])):
        return _leave(scan, start, dated)
    if is_counted(atoms, start) and segment_end(atoms, start) == start + 1:
        return _leave(scan, start, start + 1)
    group = _group_at(scan, start)
    if group is not None:
        scan.groups.append(group)
        return group.end
    end = segment_end(atoms, start)
    tied_word = atoms[start].text in WORDS or (end == start + 1)
    return _leave(scan, start, start + 1 if tied_word else end)


def _leave(scan: _Scan, start: int, end: int) -> int:
    scan.left += range(start, end)
    return end


def _group_at(scan: _Scan, start: int) -> Group | None:
    atoms, tables = scan.atoms, scan.tables
    context = Context(alone=len(atoms) == 1)
    return (
        hit(atoms, start, tables, context)
        or _behind_service(scan, start)
        or _behind_mark(scan, start, known=True)
        or form(atoms, start, tables, context)
        or _behind_mark(scan, start, known=False)
        or european_apart(atoms, start, tables, context)
    )


def _service_at(atoms: Sequence[Atom], start: int) -> tuple[int, str] | None:
    """(index behind, mark) of JAN, USN, U.S.N., U.S. NAVY, NAVY or USA at `start`."""
    found = None
    joined = ""
    for end in range(start + 1, min(start + 3, len(atoms)) + 1):
        if end > start + 1 and atoms[end - 1].gap not in (Gap.TIGHT, Gap.LOOSE):
            break
        joined += atoms[end - 1].text
        if joined in _SERVICES:
            found = end, _SERVICES[joined]
    return found


def _behind_service(scan: _Scan, start: int) -> Group | None:
    service = _service_at(scan.atoms, start)
    if service is None or service[0] >= len(scan.atoms):
        return None
    begin, mark = service
    tight = scan.atoms[begin].gap is Gap.TIGHT
    if scan.atoms[begin].gap not in JOINED or (mark == "USA" and not tight) or date_end(scan.atoms, begin):
        return None
    group = _coded(scan, begin, Context(service=mark, alone=mark == "JAN"))
    if group is None:
        return None
    # `U.S. NAVY 6SN7GT` is a box word and a number; with a maker code or a Navy number the word is part of the mark.
    taken = mark == "JAN" or tight or any(r.maker_code or r.scheme == "us-navy" for r in group.readings)
    if not taken:
        return None
    if mark == "JAN" and tight and begin == start + 1 and _could_be_month(scan.atoms[begin]):
        noted = tuple(add_note(r, f"or a date: January 19{scan.atoms[begin].text}") for r in group.readings)
        group = replace(group, readings=noted)
    return replace(group, start=start)


def _could_be_month(atom: Atom) -> bool:
    return len(atom.text) == 2 and atom.text.isdigit() and 40 <= int(atom.text) <= 59


def _coded(scan: _Scan, start: int, context: Context) -> Group | None:
    """Behind a service mark: a known number, a maker code and a known number, then the same with unknown numbers."""
    atoms, tables = scan.atoms, scan.tables
    code = _code_at(scan, start, loosely=True)
    coded = replace(context, code=code)
    return (
        hit(atoms, start, tables, context)
        or (hit(atoms, start + 1, tables, coded) if code else None)
        or form(atoms, start, tables, context)
        or (form(atoms, start + 1, tables, coded) if code else None)
    )


def _code_at(scan: _Scan, index: int, *, loosely: bool) -> str | None:
    """The maker code at `index`, if a number may follow it; loosely also C and up to three letters not in the list."""
    atoms = scan.atoms
    if index + 1 >= len(atoms) or atoms[index].unreadable or atoms[index + 1].gap not in (Gap.TIGHT, Gap.LOOSE):
        return None
    text = atoms[index].text
    if text in scan.tables.makers:
        return text
    unknown = loosely and text[0] == "C" and text != "CV" and 2 <= len(text) <= 4 and text.isascii() and text.isalpha()
    return text if unknown else None


def _behind_mark(scan: _Scan, start: int, *, known: bool) -> Group | None:
    """A number behind a maker code (CRC 807) or tied to a maker's mark (RCA-6SN7GT)."""
    atoms, tables = scan.atoms, scan.tables
    read = hit if known else form
    code = _code_at(scan, start, loosely=False)
    if code is not None:
        group = read(atoms, start + 1, tables, Context(code=code))
    elif atoms[start].text in BRAND_PREFIXES and segment_end(atoms, start) > start + 1:
        group = read(atoms, start + 1, tables, Context(dropped=atoms[start].text))
    else:
        return None
    return replace(group, start=start) if group else None


def _compared(scan: _Scan) -> tuple[list[Group], bool]:
    """The groups, with a note where two marks on one tube disagree; a comma means another tube."""
    groups = list(scan.groups)
    disagree = False
    for index in range(1, len(groups)):
        one, other = groups[index - 1], groups[index]
        if any(atom.gap is Gap.LIST for atom in scan.atoms[one.end : other.start + 1]):
            continue
        types = [[r.type for r in group.readings if r.type is not None] for group in (one, other)]
        if types[0] and types[1] and not agree(types[0], types[1], scan.tables):
            disagree = True
            groups[index - 1], groups[index] = _noted(one), _noted(other)
    return groups, disagree


def _noted(group: Group) -> Group:
    noted = (r if _DISAGREE in r.note else add_note(r, _DISAGREE) for r in group.readings)
    return replace(group, readings=tuple(noted))


def _leftover(scan: _Scan, spans: Sequence[tuple[int, int]]) -> str:
    """The words not read, as written; a refused span is given whole."""
    written, parts = scan.written, list[str]()
    for first, last in runs(scan.left):
        start, end = scan.atoms[first].start, scan.atoms[last].end
        for span_start, span_end in spans:
            if span_start < end and start < span_end:
                start, end = min(start, span_start), max(end, span_end)
        if written[end : end + 1] == ".":
            end += 1  # U.S. keeps its last dot
        parts.append(written[start:end])
    if not scan.atoms:
        parts = [written[start:end] for start, end in spans]
    return " ".join(parts)
