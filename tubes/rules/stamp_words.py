"""Words and dates that stand beside a designation on tubes and cartons: known so that they are not read as one."""

import re
from collections.abc import Sequence

from tubes.rules.stamp_atoms import Atom, Gap, segment_end


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


#: Words that may be tied to a designation by a hyphen or dot without being part of it.
WORDS = _words(
    """
    TUBE TUBES ELECTRON ELECTRONIC VACUUM VALVE VALVES TYPE NO NOS NIB USED NEW OLD STOCK TESTED GOOD WEAK BAD MADE IN
    USA ENGLAND BRITAIN BRITISH ARMY NAVY SIGNAL CORPS USN JAN SPARE MATCHED PAIR BLACK RED GLASS METAL BASE CARTON BOX
    RCA SYLVANIA PHILCO RAYTHEON HYTRON WESTINGHOUSE EIMAC AMPEREX MULLARD BRIMAR COSSOR MAZDA OSRAM MARCONI PHILIPS
    TUNGSOL KENRAD KEN RAD TUNG SOL CUNNINGHAM RADIOTRON STC GE GEC TELEFUNKEN
    """
)

#: Words beside a number that tell whose numbers they are.
AMERICAN = _words(
    """
    USA US USN JAN NAVY SIGNAL CORPS RCA SYLVANIA PHILCO RAYTHEON HYTRON WESTINGHOUSE EIMAC CUNNINGHAM RADIOTRON GE
    TUNGSOL TUNG KENRAD KEN
    """
)
BRITISH = _words("ENGLAND BRITAIN BRITISH RAF MULLARD BRIMAR COSSOR MAZDA OSRAM MARCONI STC GEC")

#: Maker's marks that may be put before anybody's number; dropped when the number behind them reads without.
BRAND_PREFIXES = frozenset({"RCA", "GL", "WL"})

_COUNTING = frozenset({"QTY", "QUANTITY", "LOT", "SERIAL", "SER", "SN", "ORDER", "CONTRACT"})
_FILLERS = frozenset({"NO", "NR", "NUMBER"})
_MONTHS = {
    name: number
    for number, names in enumerate(
        (
            "JAN JANUARY", "FEB FEBRUARY", "MAR MARCH", "APR APRIL", "MAY", "JUN JUNE", "JUL JULY", "AUG AUGUST",
            "SEP SEPT SEPTEMBER", "OCT OCTOBER", "NOV NOVEMBER", "DEC DECEMBER",
        ),
        start=1,
    )
    for name in names.split()
}  # fmt: skip
_YEAR = re.compile("19[2-7][0-9]")
_FIGURES = re.compile("[0-9]{1,4}")


def is_year(text: str) -> bool:
    """A year in full, 1920 to 1979, when tubes of this kind were made."""
    return _YEAR.fullmatch(text) is not None


def _short_year(text: str, first: int = 20, last: int = 79) -> bool:
    return is_year(text) or (len(text) == 2 and text.isascii() and text.isdigit() and first <= int(text) <= last)


def _between(text: str, first: int, last: int) -> bool:
    return len(text) <= 2 and text.isascii() and text.isdigit() and first <= int(text) <= last


def date_end(atoms: Sequence[Atom], start: int) -> int | None:
    """Index behind a date that begins at `start` (MAR 44, 12 MAR 44, 3-44, 4/44, 44-12, 1944), or None.

    JAN before a year is January: over a space with a two-figure year of 1940 to 1959, or with a year in full.
    """
    month = start
    if _between(atoms[start].text, 1, 31) and _next_gap(atoms, start) in (Gap.LOOSE, Gap.TIGHT):
        month = start + 1
    named = _month_and_year(atoms, month)
    return named if named is not None else _figures_date(atoms, start)


def _next_gap(atoms: Sequence[Atom], index: int) -> Gap | None:
    return atoms[index + 1].gap if index + 1 < len(atoms) else None


def _month_and_year(atoms: Sequence[Atom], month: int) -> int | None:
    if month >= len(atoms) or atoms[month].text not in _MONTHS:
        return None
    year = month + 1
    # A day between month and year: MAR 12, 1944.
    if year + 1 < len(atoms) and _between(atoms[year].text, 1, 31) and is_year(atoms[year + 1].text):
        year += 1
    if year >= len(atoms) or segment_end(atoms, year) != year + 1:
        return None
    gap, text = atoms[month + 1].gap, atoms[year].text
    if is_year(text):
        return year + 1
    if atoms[month].text == "JAN":
        return year + 1 if gap is Gap.LOOSE and _short_year(text, 40, 59) else None
    return year + 1 if gap in (Gap.LOOSE, Gap.TIGHT) and _short_year(text) else None


def _figures_date(atoms: Sequence[Atom], start: int) -> int | None:
    end = start
    while end < len(atoms) and _FIGURES.fullmatch(atoms[end].text):
        if end > start and atoms[end].gap not in (Gap.TIGHT, Gap.SLASH):
            break
        end += 1
    if _next_gap(atoms, end - 1) is Gap.TIGHT:
        return None
    parts = [atom.text for atom in atoms[start:end]]
    if len(parts) == 1:
        return end if is_year(parts[0]) else None
    if len(parts) == 2:
        month_year = _between(parts[0], 1, 12) and _short_year(parts[1])
        year_week = _short_year(parts[0], 30) and _between(parts[1], 1, 53) and atoms[start + 1].gap is Gap.TIGHT
        return end if month_year or year_week else None
    if len(parts) == 3:
        day_month = all(_between(part, 1, 31) for part in parts[:2]) and any(_between(p, 1, 12) for p in parts[:2])
        return end if day_month and _short_year(parts[2]) else None
    return None


def is_counted(atoms: Sequence[Atom], index: int) -> bool:
    """True for a number that counts or numbers something else: `QTY 10`, `SERIAL NO. 1625`, `LOT 45`."""
    before = index - 1
    if not _FIGURES.fullmatch(atoms[index].text) or before < 0:
        return False
    if atoms[before].text in _FILLERS and before > 0:
        before -= 1
    slashed = atoms[before].text == "N" and before > 0 and atoms[before - 1].text == "S"
    return atoms[before].text in _COUNTING or (slashed and atoms[before].gap is Gap.SLASH)
