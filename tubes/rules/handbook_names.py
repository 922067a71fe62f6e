"""Types that a handbook of tests names and no other row does: which of its numbers are a type of their own.

A number that the tables have, or that stands there for the forms of a known type (6SN7 of 6SN7GT), is none; nor is one
of a single sign, which a list may bear for anything. Letters of glass, metal and base that the handbook leaves out are
told of a stamp that bears them (``left_out``).
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from tubes.rules.schemes import CIVIL_SCHEMES, MAKER, PLAIN, PRO_ELECTRON, Setting, forms
from tubes.rules.text import fold_key

#: Letters behind a number that the handbook leaves out: G, GT glass, M, MG metallized or in metal, Y low-loss base ...
SHARED = re.compile(r"(?P<number>[0-9A-Z]*[0-9])(?P<letters>(?:GTA|GTB|GT|WA|W|MG|G|Y|M)+)")
_BUILD_ONLY = re.compile("(?:GT|MG|G|Y)+")  # of an American number: the same tube in another glass, metal or base
_AMERICAN = re.compile("[0-9]{1,3}[A-Z]{1,3}[0-9]")
#: British Mazda types for 4 V a.c.: AC and then what it is, AC/P1, AC/TP, AC/SP1; the European ACH1 and ACH4 are none,
#: triode-hexodes both (from memory).
_MAZDA = re.compile("AC(?!H[0-9])[A-Z].*")
_A_NAME = re.compile(r"[0-9A-Za-z][0-9A-Za-z/.+-]*")
#: A Soviet number in letters of Latin look: the last one, C, is the S of a glass tube.
_LOOKS_SOVIET = re.compile(r"(?P<front>[0-9]{1,2})(?P<kind>[CH])(?P<number>[0-9]{1,2})C")
_SOVIET_KIND = {"C": "S", "H": "N"}
_HYPHEN = re.compile(r"(?P<number>[0-9]{1,3}[A-Z]{1,3}[0-9]{1,2})-(?P<letters>[A-Z]{1,3})")
_FEWEST = 2  # signs of a name


@dataclass(frozen=True)
class HandbookNames:
    """What a handbook adds to the tables for whoever reads a stamp, all by folded name.

    ``alone``: types that it alone names; ``soviet``: numbers in Latin letters that are Soviet ones of the tables, to
    those as transliterated; ``another``: types and marks of the tables under whose number it has another tube, which.
    ``row``: how it writes the number of ``alone`` and ``soviet``. ``twice``: numbers that it has in two spellings for
    two tubes that differ, and how.
    """

    alone: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    soviet: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    another: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    row: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    twice: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))


def named_alone(numbers: Iterable[str], known: Iterable[str]) -> dict[str, str]:
    """The numbers of a handbook that are types of their own, as it prints them, to the name of the type.

    ``known``: all marks and type names of the tables. Two spellings of one number (AC/P, ACP) are one type.
    """
    keys = {fold_key(name) for name in known}
    have_forms = {match["number"] for key in keys if (match := SHARED.fullmatch(key))}
    named: dict[str, str] = {}
    found = {}
    for number in sorted(set(numbers), key=lambda one: (one[:1] == "O", one)):  # 01AA before O1AA
        key = fold_key(number)
        if len(key) < _FEWEST or not _A_NAME.fullmatch(number) or key in keys or key in have_forms:
            continue
        halves = number.split("/") if "/" in number else ()
        if any(fold_key(half) in keys for half in (soviet_of(number), *halves) if half):
            continue  # a Soviet number, or a known one with another beside it: 58/251M
        found[number] = named.setdefault(key, _HYPHEN.sub(r"\g<number>\g<letters>", number))
    return found


def soviet_of(number: str) -> str:
    """6H9C, in letters that look alike, as the Soviet number in Latin transliteration: 6N9S; empty: it is none."""
    match = _LOOKS_SOVIET.fullmatch(number.upper())
    return f"{match['front']}{_SOVIET_KIND[match['kind']]}{match['number']}S" if match else ""


_SYSTEMS = {
    "T": "triode", "P": "pentode or tetrode", "D": "diode", "H": "heptode", "O": "octode", "R": "rectifier",
    "THY": "thyratron", "TI": "triode and indicator", "DDI": "two diodes and indicator", "TH": "triode-hexode",
}  # fmt: skip


def electrodes_in_words(code: str) -> str:
    """What stands in a bulb, as the handbook codes it, in words: TT is two triodes; else the code itself."""
    if code in _SYSTEMS:
        return _SYSTEMS[code]
    counts = {letter: code.count(letter) for letter in dict.fromkeys(code)}
    if not counts.keys() <= _SYSTEMS.keys():
        return code
    return ", ".join(f"{count} {_SYSTEMS[one]}s" if count > 1 else _SYSTEMS[one] for one, count in counts.items())


def another_tube(electrodes: str, heater_v: float | None, base: str) -> str:
    """In a reading's note: the handbook has a tube of this number that is not the one of the tables."""
    volts = [f"heater {heater_v:g} V"] if heater_v is not None else []
    return (
        f"the handbook has another tube of this number ({', '.join([electrodes_in_words(electrodes), *volts, base])})"
    )


def two_tubes(rows: Iterable[tuple[str, str, float | None, str]]) -> dict[str, str]:
    """By folded number: what two spellings of it are, where they differ. ``rows``: number, electrodes, volts, base.

    AC/P stands on british-5, ACP on british-4: a stamp that is read without its stroke may be of either.
    """
    found: dict[str, dict[str, set[tuple[str, float | None, str]]]] = defaultdict(lambda: defaultdict(set))
    for number, *what in rows:
        found[fold_key(number)][number].add((what[0], what[1], what[2]))  # type: ignore[arg-type]
    told = {}
    for key, spelt in found.items():
        if len({frozenset(one) for one in spelt.values()}) > 1:
            said = [
                f"{number} ({electrodes_in_words(electrodes)}, {f'{volts:g} V, ' if volts else ''}{base})"
                for number, one in sorted(spelt.items())
                for electrodes, volts, base in sorted(one, key=str)
            ]
            told[key] = f"the handbook has two tubes so spelt, {' and '.join(said)}"
    return told


def left_out(key: str) -> tuple[str, str, str] | None:
    """(number, letters, relation) of a folded mark whose letters a handbook leaves out; None where it bears none.

    Behind an American number glass, metal and base make no other tube. Behind others they often tell of another base:
    ECH3G, ECH4G and KL4G are octal where ECH3, ECH4 and KL4 have side contacts, PM24M is no PM24 (avo-vdm23). M alone
    is European everywhere. Later issues and ruggedized builds are told apart.
    """
    match = SHARED.fullmatch(key)
    if match is None:
        return None
    letters = match["letters"]
    if _BUILD_ONLY.fullmatch(letters) and _AMERICAN.fullmatch(match["number"]):
        return match["number"], letters, "same"
    return match["number"], letters, "ruggedized" if "W" in letters else "variant"


def scheme_of(name: str) -> str:
    """The civil scheme whose form a name has; plain where it has none. What is written over a slash is not European."""
    found = [one.scheme for one in forms(fold_key(name), Setting()) if one.scheme in CIVIL_SCHEMES | {PLAIN}]
    if PRO_ELECTRON in found and ("/" in name or _MAZDA.fullmatch(fold_key(name))):
        return MAKER
    return found[0] if found else PLAIN


def reads_anywhere(name: str) -> bool:
    """Whether a name is a tube number wherever it stands; else only where nothing else stands beside it.

    Figures alone are as often a count, letters alone a word, two signs a drawer.
    """
    key = fold_key(name)
    if key.isdigit():
        return len(key) == 4
    return len(key) > _FEWEST and not name.isalpha()
