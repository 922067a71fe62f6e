"""Cells of the tube column that name no one plain tube: several types with a count of each, a number that a spreadsheet
worked out, a tube that was changed. What each may be is offered; nothing is taken for it unasked.

Ways of writing: common practice, no source.
"""

import re
from dataclasses import dataclass, replace

from inventory.lists.rules.count_words import WORD_FIGURES
from inventory.lists.rules.quantities import read_quantity
from tubes.rules.forms import build_of
from tubes.rules.stamp import StampAnswer, StampTables, read_stamp
from tubes.rules.stamp_refuse import originals
from tubes.rules.text import fold_key

_NUMBER = r"(?:[0-9]{1,3}|[^\W\d_]{2,8})"
_EACH_BEHIND = re.compile(
    rf"[\s,;:(=-]*\b(?P<n>{_NUMBER})\s*(?:x\s*|pcs?\.?\s*|stk\.?\s*)?(?:of each|each|ea|de chaque|chacune?|van elk|"
    r"di ciascun[ao]|ciascun[ao]|z każdej|od každé|de cada)\.?\s*\)?$",
    re.IGNORECASE,
)
_EACH_BEFORE = re.compile(
    r"[\s,;:(=-]*\b(?:je|jeweils|each|по|po)\s*(?P<n>[0-9]{1,3}|ein(?:e|s)?|zwei|drei)\s*"
    r"(?:x|pcs?|stk|stück|st|шт|szt|ks)?\.?\s*\)?$",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"\s*[/,;+&]\s*|\s+(?:and|und|et|en|e|i|a|и)\s+", re.IGNORECASE)
_CHANGED = re.compile(
    r"\b(?:mods?|modified|modif\w*|re-?based|base changed|altered|reworked|umgesockelt|umgebaut|geändert|gewijzigd|"
    r"przerobion\w+|zmodyfikowan\w+|upraven\w+|доработан\w+|переделан\w+|(?:top )?cap (?:cut|removed|off|missing)|"
    r"(?:cut|no) (?:top )?cap|pins? (?:cut|removed))(?![\w])",
    re.IGNORECASE,
)
#: Before the number: what belongs to a tube or stands in its place. Beside it: a carton, one that left, a broken one.
_NO_SOUND_TUBE = re.compile(
    r"^[^0-9]{1,40}\b(?:for|für|pour|voor|dla|pro|para|per|для)\s|"
    r"^(?:not|kein\w*|nicht|pas|niet|geen|non|nie|není|не|like|wie|comme|come|jak|jako|как|similar|replaces|ersetzt|"
    r"remplace|vervangt|sostituisce|zastępuje|nahrazuje|заменяет|вместо|instead of|ersatz)\b|"
    r"\b(?:(?:empty|leere\w?|vide|lege|vuota|puste|prázdn\w+|пустая)(?: (?:box|carton|schachtel|boîte|doos|scatola|"
    r"pudełko|krabice|коробка))?|(?:box|carton|socket|base|manual|sheet) only|nur (?:karton|schachtel|sockel)|leer|"
    r"manual|datasheet|data sheet|"
    r"cracked|broken|dead|duds?|defekte?|taube?|kaputt|defective|faulty|shorted|claquée?|guasta|spalona|vadná|"
    r"неисправна|битая|sold|gone|lent|loaned|missing|lost|scrapped|verkauft|verliehen|fehlt|vendue?|prêtée?|verkocht|"
    r"uitgeleend|venduta|prestata|sprzedana|pożyczona|prodána|půjčena|продана|одолжена)(?!\w)",
    re.IGNORECASE,
)
_ROUND = re.compile(r"[0-9]{1,6}(?:0{3,12}|(?:[., ]000){1,4})(?:[.,]0{1,2})?")


@dataclass(frozen=True, slots=True)
class Split:
    """Marks of several types on one row; ``each`` how many there are of each, as the row says.

    ``count`` is the cell of the column of counts where it tells another number than all of them.
    """

    marks: tuple[str, ...]
    each: int
    count: str = ""

    @property
    def total(self) -> int:
        return self.each * len(self.marks)


def split_of(text: str, count: str, tables: StampTables) -> Split | None:
    """`954/955/956 1 each`: every part is one type, and the row tells how many of each; else None.

    ``count`` is the cell of the column of counts: `1 each`. A plain number says nothing of each of them.
    """
    said = _EACH_BEHIND.search(text) or _EACH_BEFORE.search(text)
    each = _number(said["n"]) if said else _each_in(count)
    marks = tuple(part for part in _BETWEEN.split(text[: said.start()] if said else text) if part.strip())
    if len(marks) < 2 or len(marks) > 20:
        return None
    types = [_one_type(read_stamp(mark, tables)) for mark in marks]
    alike = any(_one_tube(one, other, tables) for at, one in enumerate(types) for other in types[at + 1 :])
    if not each or not all(types) or alike:
        return None
    split = Split(marks, each)
    told = None if _each_in(count) else read_quantity(count)
    other = told is not None and bool(count.strip()) and (told.figure or 0) + told.duds != split.total
    return replace(split, count=" ".join(count.split())) if other else split


def _each_in(count: str) -> int | None:
    found = _EACH_BEHIND.fullmatch(count.strip()) or _EACH_BEFORE.fullmatch(count.strip())
    return _number(found["n"]) if found else None


def _number(word: str) -> int | None:
    return int(word) if word.isdigit() else WORD_FIGURES.get(word.casefold())


def _one_type(stamp: StampAnswer) -> str:
    named = {reading.type for reading in stamp.readings if reading.type}
    return str(named.pop()) if len(named) == 1 and not stamp.leftover.strip() else ""


def _one_tube(one: str, other: str, tables: StampTables) -> bool:
    """Whether two types are one tube by two names, or forms of one number, as both stand on a carton."""
    here, there = build_of(one), build_of(other)
    forms = here is not None and there is not None and here.number == there.number
    return one == other or forms or tables.linked(one, other)


def perhaps(text: str, tables: StampTables) -> tuple[str, ...]:
    """Marks of the tables that a spreadsheet makes of 600000: 6E5. Empty where the number is a mark itself."""
    if not _ROUND.fullmatch(text) or tables.has(fold_key(text)):
        return ()
    figures = re.sub(r"[., ]0{1,2}$", "", text) if re.search(r"[.,]0{1,2}$", text) else text
    return tuple(originals(re.sub(r"[^0-9]", "", figures), 0, tables)[0])


def changed(text: str) -> str:
    """The words that say that a tube was changed (`modified`, `cap cut`), is broken, has left or is none (`box for`);
    empty where none do.
    """
    found = (match.group().strip() for said in (_CHANGED, _NO_SOUND_TUBE) for match in said.finditer(text[:200]))
    return ", ".join(dict.fromkeys(found))
