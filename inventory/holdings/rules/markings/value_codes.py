"""Value codes: a letter for the point (4K7, 4n7), figures and zeros (103K), and values printed in full (0.01 mfd)."""

import re
import unicodedata
from collections.abc import Iterator
from decimal import Decimal

from inventory.holdings.rules.markings.answers import Answer, Form, MarkingFault, Reading, preferred_words
from inventory.holdings.rules.markings.letters import counted, tolerance_of
from inventory.holdings.rules.markings.printed import read_printed
from inventory.holdings.rules.markings.rated import split_tail
from inventory.holdings.rules.markings.tables import MEMORY, NO_SOURCE, MarkingTables

VALUE = "value-code"
IEC = "IEC 60062"
EXPECTED = "expected such as 4K7, R47, 2k2J, 49R9, 4n7, p47, 103K, 250 k or 0.01 mfd"
_POINT = re.compile(r"(\d*)([RrEeKkMmGgTtPpNnUu])(\d*)([A-Za-z]?)", re.ASCII)
_FIGURES = re.compile(r"(\d{3,4})([A-Za-z]?)", re.ASCII)
_DECIMAL = re.compile(r"(\d*\.\d+|\d+)([A-Za-z]?)", re.ASCII)
_LIKE = re.compile(r"[\d.,]|[RrPpNnUu]\d+[A-Za-z]?$", re.ASCII)
_BLANKS = re.compile(r"(?<=[\d.])\s+(?=[A-Za-z]\b)|(?<=[A-Za-z])\s+(?=[A-Za-z]$)", re.ASCII)
_APART = re.compile(r"\d{3,4}\s+[Kk]", re.ASCII)
KILOHM = (
    "K stands apart from the figures and watts behind it: it is read as kilohm alone, and not as a tolerance of 10 % "
    "(common practice, no source)."
)
#: Small letters that stand for a unit alone: a tolerance is a capital, but where nothing else is meant by a small one.
_OF_FARADS = frozenset("pnu")
_MOST_ZEROS = {"ohm": 9, "pF": 7, "uH": 6}
_MOST_FIGURES = 6
TO_PF = 10**6


def read_value(text: str, tables: MarkingTables) -> Answer:
    """All that a value code can mean, with a tolerance and rating in figures behind it; the usual meaning first."""
    plain = unicodedata.normalize("NFKC", text).replace("⁄", "/").strip()
    try:
        head, tail = split_tail(plain)
        found = [told for one in _readings(head, tables) if (told := tail.beside(one)) is not None]
        if not found:
            raise MarkingFault("what stands behind the value contradicts it")
    except MarkingFault as fault:
        return Answer(
            refusal=f"{text.strip()!r} is no value code: {fault}; {EXPECTED}", near=bool(_LIKE.match(_plain(text)))
        )
    warnings: tuple[str, ...] = ()
    if (
        tail.unit == "W"
        and _APART.fullmatch(head.strip())
        and (kept := [one for one in found if not one.form.tolerance])
    ):
        found, warnings = kept, (KILOHM,)
    readings = _in_order(_plain(head), found, tail.unit)
    if len(readings) > 1:
        warnings += ("Several codes explain it: what the part is says which, and measuring says it for certain.",)
    return Answer(tuple(readings), warnings, near=True)


def _readings(text: str, tables: MarkingTables) -> list[Reading]:
    """The readings of a mark with nothing behind it. Raises MarkingFault where there is none."""
    code = _plain(text)
    found: list[Reading] = []
    faults: list[str] = []
    for reader in (_figures, _point, _decimal):
        try:
            found += reader(code, tables)
        except MarkingFault as fault:
            faults.append(str(fault))
    if not found:
        try:
            found += read_printed(text, tables)
        except MarkingFault as fault:
            faults.append(str(fault))
    if not found:
        raise MarkingFault(faults[0] if faults else "it is none known here")
    return found


def _plain(text: str) -> str:
    """The text without blanks between a figure and its letter, with u for micro and R for the ohm sign."""
    code = unicodedata.normalize("NFKC", text).strip().replace("μ", "u").replace("µ", "u")
    code = _BLANKS.sub("", code.replace("Ω", "R"))
    return code.replace(",", ".") if re.fullmatch(r"\d*,\d{1,2}[A-Za-z]*|0?,\d+[A-Za-z]*", code, re.ASCII) else code


def _point(code: str, tables: MarkingTables) -> Iterator[Reading]:
    match = _POINT.fullmatch(code)
    if not match or not (match[1] or match[3]) or len(match[1] + match[3]) > _MOST_FIGURES:
        return
    whole, letter, part, tolerance = match.groups()
    figure = Decimal(f"{whole or 0}.{part or 0}")
    if not figure:
        raise MarkingFault("a value of 0 is none")
    figures = len((whole + part).lstrip("0"))
    for unit, key, remark, source in _units(letter, figures, figure):
        times = tables.letter(unit if unit != "uH" else "ohm", key)[0]
        value = figure * times.number
        yield from _lettered(
            value, unit, tolerance, tables, IEC if unit != "uH" else "", (source or times.source,),
            Form("point", len(whole + part), len(part), letter=letter, tolerance=tolerance),
            (remark,) if remark else (times.note.capitalize(),) if times.note else (),
        )  # fmt: skip


def _units(letter: str, figures: int, figure: Decimal) -> Iterator[tuple[str, str, str, str]]:
    """Unit, letter as the table has it, remark and source of that, for what a letter can stand for."""
    upper = letter.upper()
    if letter == "m":
        yield "pF", "m", "A small m for millifarad", ""
        yield "ohm", "M", "If M was meant: a small m is no letter of that code for megohm", MEMORY
        return
    if upper in "PNU":
        yield "pF", letter.lower(), "", ""
        return
    yield "ohm", upper, "", ""
    if upper == "R" and figures <= 2 and figure < 10:
        yield "pF", "p", "R for the point on a small capacitor", MEMORY
        yield "uH", "R", "R for the point on a moulded choke, in microhenry", MEMORY


def _figures(code: str, tables: MarkingTables) -> Iterator[Reading]:
    match = _FIGURES.fullmatch(code)
    if not match or match[1][0] == "0" or match[2] in _OF_FARADS:
        return
    figures, tolerance = match.groups()
    value, zeros = counted(figures), int(figures[-1])
    if len(figures) == 4:
        form = Form("figures", 3, tolerance=tolerance)
        told = ("Three figures and a number of zeros",)
        yield from _lettered(value, "ohm", tolerance, tables, "MIL-R-10509", ("milr10509f",), form, told)
    else:
        for unit, on in (("pF", "a capacitor"), ("ohm", "a resistor"), ("uH", "a moulded choke")):
            told = (f"Two figures and a number of zeros, on {on}",)
            of_unit = value
            if unit == "pF" and zeros in (8, 9):
                of_unit = Decimal(figures[:2]) * (Decimal("0.01") if zeros == 8 else Decimal("0.1"))
                told = (f"Two figures, and {zeros} for the multiplier {'0.01' if zeros == 8 else '0.1'}, on {on}",)
            elif zeros > _MOST_ZEROS[unit]:
                continue
            form = Form("figures", 2, tolerance=tolerance)
            yield from _lettered(of_unit, unit, tolerance, tables, IEC, (MEMORY,), form, told)
    if not tolerance and zeros == 0:
        yield from _in_full(Decimal(figures), "pF", tables)
        yield from _in_full(Decimal(figures), "ohm", tables)


def _in_full(value: Decimal, unit: str, tables: MarkingTables) -> Iterator[Reading]:
    form = Form("full", letter=unit)
    told = (f"As a figure printed in full, in {unit}", *preferred_words(value), *tables.cited(NO_SOURCE))
    yield Reading(VALUE, value, unit, "", form, None, "", told)


def _decimal(code: str, tables: MarkingTables) -> Iterator[Reading]:
    """A decimal figure: of a capacitor below 1 in microfarad, with a letter behind it as any letter code."""
    match = _DECIMAL.fullmatch(code)
    if not match:
        return
    figure, letter = Decimal(match[1]), match[2]
    if not figure:
        raise MarkingFault("a value of 0 is none")
    if "." not in match[1]:
        if not letter and len(match[1]) <= 2:
            yield from _in_full(figure, "pF", tables)
            yield from _in_full(figure, "ohm", tables)
        return
    if len(match[1]) > _MOST_FIGURES + 2:
        return
    if letter and _POINT.fullmatch(f"1{letter}"):
        places = len(match[1].partition(".")[2])
        form = Form("decimal", places=places, letter=letter)
        for unit, key, remark, source in _units(letter, 9, figure):
            times = tables.letter(unit, key)[0]
            told = (remark,) if remark else ()
            yield from _lettered(figure * times.number, unit, "", tables, IEC, (source or times.source,), form, told)
    if figure < 1:
        told = ("A figure below 1 on a U.S. capacitor is in microfarad",)
        form = Form("mfd", places=len(match[1].partition(".")[2]), tolerance=letter)
        try:
            yield from _lettered(figure * TO_PF, "pF", letter, tables, "", (NO_SOURCE,), form, told)
        except MarkingFault:
            if not _POINT.fullmatch(f"1{letter}"):
                raise


def _lettered(
    value: Decimal, unit: str, letter: str, tables: MarkingTables, standard: str, sources: tuple[str, ...],
    form: Form, told: tuple[str, ...],
) -> Iterator[Reading]:  # fmt: skip
    """A reading with the tolerance that a letter says. Raises MarkingFault for a letter that is none."""
    per_cent: Decimal | None = None
    remarks: tuple[str, ...] = ()
    if letter:
        small = tables.letter("tolerance-pf", letter.upper()) if unit == "pF" and value < 10 else ()
        if small:
            per_cent = round(small[0].number / value * 100, 6).normalize()
            remarks, source = (f"Tolerance {small[0].said} pF either way",), small[0].source
        else:
            per_cent, remarks, source = tolerance_of(letter, tables)
        sources = (*sources, source)
    notes = (*told, *remarks, *preferred_words(value), *tables.cited(*sources))
    yield Reading(VALUE, value, unit, standard, form, per_cent, "", notes)


def _in_order(code: str, found: list[Reading], rated_in: str) -> list[Reading]:
    """The usual meaning first: 470K is 470 kohm rather than 47 pF, 103K is 10000 pF rather than 103 kohm; what is rated
    in volts is a capacitor."""
    if rated_in == "V":
        return sorted(found, key=lambda one: one.unit != "pF")
    if re.fullmatch(r"\d\d0[Kk]", code):
        return sorted(found, key=lambda one: one.form.code != "point")
    return found
