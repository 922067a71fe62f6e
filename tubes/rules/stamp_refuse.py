"""What cannot be read and must not be guessed: numbers a spreadsheet has rewritten, and lost figures."""

import re
from collections.abc import Sequence
from dataclasses import replace

from tubes.rules.stamp_atoms import Atom, Gap, segment_end
from tubes.rules.stamp_tables import StampTables
from tubes.rules.text import fold_key, to_latin

_ERROR = re.compile(r"#(?:REF!|NAME\?|N/A|VALUE!|DIV/0!|NUM!|NULL!|#{3,})")
_POWER = re.compile(
    r"(?<![^\W_])(?:([0-9]+)(?:[.,]([0-9]+))?E\+([0-9]{1,3})|([0-9]+)[.,]([0-9]+)E-?([0-9]{1,3}))(?![^\W_])"
)
_LONG = re.compile(r"(?<![^\W_])([0-9]{20,})(?:[.,]0+)?(?![^\W_])")
_SOFT_JOIN = re.compile(r"(?<![-./\w])[^\W_]+(?:[_#][^\W_]+)+(?![-./\w])")
_MAX_NAMED = 6


def spreadsheet_damage(text: str, tables: StampTables) -> tuple[list[tuple[int, int]], list[str]]:
    """Spans of the text that a spreadsheet has rewritten, and what to say about each."""
    upper = to_latin(text.upper())
    if len(upper) != len(text):  # a few capitals are longer than their small letters
        upper = text
    spans: list[tuple[int, int]] = []
    said: list[str] = []
    for found in _ERROR.finditer(upper):
        spans.append(found.span())
        said.append(f"{found.group()}: a spreadsheet error stands here; the original number is lost")
    for found in _POWER.finditer(upper):
        whole, part, power = found.groups()[:3] if found.group(1) else found.groups()[3:]
        down = "E-" in found.group()
        spans.append(found.span())
        said.append(_power_text(found.group(), whole + (part or ""), int(power) - len(part or ""), tables, lost=down))
    for found in _LONG.finditer(upper):
        spans.append(found.span())
        said.append(_power_text(_short(found.group()), found.group(1), 0, tables, lost=False))
    return spans, said


def _short(figures: str) -> str:
    return figures if len(figures) <= 30 else figures[:27] + "..."


def originals(figures: str, power: int, tables: StampTables) -> tuple[list[str], list[str]]:
    """Numbers that a spreadsheet would show as figures x 10^power: those in the tables, and the others."""
    plain = figures.strip("0") if figures.startswith("0") else figures.rstrip("0")
    power += len(figures.lstrip("0")) - len(plain.lstrip("0"))
    if not plain or len(plain) > 3:
        return [], []
    names = [f"{plain}{'0' * zeros}E{power - zeros}" for zeros in range(3) if power >= zeros]
    return [n for n in names if tables.has(fold_key(n))], [n for n in names if not tables.has(fold_key(n))]


def _power_text(shown: str, figures: str, power: int, tables: StampTables, *, lost: bool) -> str:
    known, others = ([], []) if lost else originals(figures, power, tables)
    start = f"{shown}: rewritten by a spreadsheet, not read; "
    if known:
        also = f" ({', '.join([*known[1:], *others])} also possible)" if known[1:] or others else ""
        return f"{start}the original was likely {known[0]}{also}"
    if others:
        return f"{start}the original may have been {' or '.join(others)} (none is in the tables)"
    return f"{start}the original number is lost"


def mark_dead(atoms: Sequence[Atom], spans: Sequence[tuple[int, int]]) -> list[Atom]:
    """Atoms inside a refused span take no part in any reading."""
    return [
        replace(atom, dead=True) if any(atom.start < end and start < atom.end for start, end in spans) else atom
        for atom in atoms
    ]


def mend_soft_marks(text: str, tables: StampTables) -> str:
    """`VT_231`: an underscore that is only a hyphen is made one; `VT_31` may have lost a figure and stays.

    It is only a hyphen when it does not stand between figures, no designation has one more figure there, and the
    number without it is in the tables.
    """

    def mend(found: re.Match[str]) -> str:
        word = found.group()
        between_figures = re.search("[0-9][_#][0-9]", word)
        if between_figures or fitting(to_latin(word.upper()), tables) or not tables.has(_joined(word)):
            return word
        return re.sub("[_#]", "-", word)

    return _SOFT_JOIN.sub(mend, text) if "_" in text or "#" in text else text


def _joined(word: str) -> str:
    return fold_key(to_latin(word.upper()).replace("#", ""))


def fitting(damaged: str, tables: StampTables) -> list[str]:
    """Published designations that fit a number with lost figures: each mark one figure or letter, `*` up to three."""
    key = re.sub(r"\*+", "*", re.sub(r"[-\s/.]", "", damaged)).replace("O", "0")
    marks = re.findall("[^A-Z0-9]", key)
    if not marks or len(marks) > 3 or len(key) - len(marks) < 2 or len(key) > 16:
        return []
    parts = (char if char.isalnum() else "[A-Z0-9]{1,3}" if char == "*" else "[A-Z0-9]" for char in key)
    pattern = re.compile("".join(parts))
    keys = tables.names if "*" in key else tables.by_length.get(len(key), ())
    return [tables.names[other] for other in keys if pattern.fullmatch(other)]


def lost_text(atoms: Sequence[Atom], start: int, end: int, shown: str, tables: StampTables) -> str | None:
    """What to say of the atoms from start to end, shown as written, or None if they are only words."""
    heads = list(range(start, end))
    over_slash = atoms[start].gap is Gap.SLASH
    if start > 0 and (over_slash or (atoms[start].gap is Gap.LOOSE and atoms[start - 1].text.isalpha())):
        heads.insert(0, start - 1)  # VT 2?1, 10E/3?2
    named: list[str] = []
    for head in heads:
        tail = [atom.text for atom in atoms[head:end]]
        if any(atom.lost for atom in atoms[head:end]):
            named = named or fitting("".join(tail), tables)
    if not named and not any(char.isdigit() for char in shown):
        return None
    if not named:
        return f"{shown}: a figure is lost, not read"
    more = f" and {len(named) - _MAX_NAMED} more" if len(named) > _MAX_NAMED else ""
    return f"{shown}: a figure is lost, not read; in the tables {', '.join(named[:_MAX_NAMED])}{more} would fit"


def damaged_end(atoms: Sequence[Atom], start: int) -> int | None:
    """Index behind the tight segment at `start` if it holds an unreadable atom, else None.

    Goes on over figures that were given up because they stand beside the lost one.
    """
    end = segment_end(atoms, start)
    if not any(atom.unreadable for atom in atoms[start:end]):
        return None
    while end < len(atoms) and atoms[end].lost and atoms[end].gap in (Gap.LOOSE, Gap.SLASH):
        end = segment_end(atoms, end)
    return end
