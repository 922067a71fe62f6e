"""Lines of a list that are no item: blank, heading again, total, divider. Common practice, no source."""

import re
import unicodedata
from collections.abc import Sequence

from inventory.holdings.rules.cells import says_nothing
from inventory.lists.rules import fields as f

_TOTAL = re.compile(
    r"(?:sub-?|sous-?|grand |zwischen|gesamt)?(?:totals?|sum|summe|gesamt|gesamtzahl|zusammen|insgesamt|totaal|somme|"
    r"(?:sous-? ?)?total(?: g[eé]n[eé]ral)?|(?:sub)?totale(?: generale)?|subtotaal|suma|summa|razem|ogółem|celkem|"
    r"yhteensä|välisumma|i alt|итого|всего|"
    r"zwischensumme|gesamtsumme|endsumme)\b[ :=.]*(?:tubes|röhren|items|stück|stk|pcs|valves)?[ :.]*[0-9.,€$£ ]{0,20}",
    re.IGNORECASE,
)
_FIGURE = re.compile(r"[-=+0-9.,€$£%() ]{1,30}|(?:DM|EUR|USD|GBP) ?[0-9.,]{1,20}|=.{1,60}", re.IGNORECASE)
_MARK_OF_FIGURES = re.compile(r"[0-9]{2,5}")
_RULE = re.compile(r"[-=_*#~+.|/\\ ]{2,}")
_DECORATED = re.compile(r"\s*([-=_*#~><]){2,}.*|.*([-=_*#~><]){2,}\s*|.{1,60}:\s*", re.DOTALL)
_CONTAINER = re.compile(
    r"(?:box|shelf|drawer|bin|rack|crate|carton|cabinet|schub|schublade|kiste|fach|regal|karton|schrank|doos|"
    r"lade|kast|boîte|tiroir|"
    r"page|seite|sheet|blatt)\b.{0,40}",
    re.IGNORECASE,
)
#: Words of a place in which nothing stands.
_EMPTY = frozenset(
    "leer frei empty vacant vide libre leeg vuoto vuota vacío pusto puste pusty wolne prázdné prázdný prázdná volné "
    "пусто пустая нет none nothing nichts rien".split()
)
#: What may stand beside an empty place; a note that says something is of something that lies there.
_BESIDE_EMPTY = frozenset({f.PLACE, f.NUMBER, f.OWN_NUMBER, f.IGNORED})
#: One of these says what a row is.
_NAMING = (f.MARK, f.MODEL)


def not_an_item(cells: Sequence[str], mapping: Sequence[str], headings: Sequence[str] = ()) -> str | None:
    """Why a row is no item of the list, or None if it is one (or is to be refused as one)."""
    filled = {index: cell.strip() for index, cell in enumerate(cells) if cell.strip(" \t\r\n\ufeff\xa0\0")}
    if not filled:
        return "blank row"
    if all(_RULE.fullmatch(text) for text in filled.values()):
        return "a divider of dashes"
    if _repeats(filled, headings):
        return "the heading again"
    named = {index: mapping[index] if index < len(mapping) else f.OTHER for index in filled}
    if _is_total(filled, named):
        return "a total line"
    if f.PLACE in named.values() and set(named.values()) <= {f.PLACE, f.NUMBER, f.IGNORED}:
        return "names only a place"
    if _empty_place(filled, named):
        return "an empty place: nothing is named"
    return _lone(filled, named, mapping)


def _repeats(filled: dict[int, str], headings: Sequence[str]) -> bool:
    same = sum(
        index < len(headings) and text.casefold() == headings[index].strip().casefold()
        for index, text in filled.items()
    )
    return (same >= 2 and same * 2 > len(filled)) or same == len(filled)


def _is_total(filled: dict[int, str], named: dict[int, str]) -> bool:
    first, *rest = (unicodedata.normalize("NFC", text[:80]) for text in filled.values())
    if not _TOTAL.fullmatch(first.strip()):
        if any(named[index] in _NAMING and _MARK_OF_FIGURES.fullmatch(text) for index, text in filled.items()):
            return False  # 807 | 12 | zusammen: a mark of figures, and a word beside its count
        # The word may stand beside its figure: ;;Total;55;
        first, rest = next(
            (
                (text, [t for t in filled.values() if t is not text])
                for text in filled.values()
                if _TOTAL.fullmatch(unicodedata.normalize("NFC", text[:80]))
            ),
            ("", []),
        )
    return bool(first) and all(_FIGURE.fullmatch(text[:61]) for text in rest)


def _lone(filled: dict[int, str], named: dict[int, str], mapping: Sequence[str]) -> str | None:
    """A row of one cell that heads the rows below it."""
    if len(filled) > 1:
        return None
    (index, text), lone_column = next(iter(filled.items())), len(mapping) < 2
    if _DECORATED.fullmatch(text[:200]) and any(char.isalpha() for char in text):
        return "a divider"
    if named[index] in (*_NAMING, f.NUMBER) and not lone_column and _heads(text):
        return "a divider"
    return None


def says_empty(text: str) -> bool:
    """Whether a cell says that nothing stands there: `leer`, `-`."""
    return says_nothing(text) or text.strip().strip("()[].! ").casefold() in _EMPTY


def _empty_place(filled: dict[int, str], named: dict[int, str]) -> bool:
    naming = [text for index, text in filled.items() if named[index] in _NAMING]
    others = [text for index, text in filled.items() if named[index] not in (*_NAMING, *_BESIDE_EMPTY)]
    return bool(naming) and all(map(says_empty, naming)) and all(text == "0" or says_empty(text) for text in others)


def _heads(text: str) -> bool:
    return bool(_CONTAINER.fullmatch(text)) or (
        not any(char.isdigit() for char in text) and text.isupper() and len(text) > 3
    )
