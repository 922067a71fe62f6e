"""Colour words out of a text: names as Americans and the British spell them, abbreviations, blanks where none is."""

import re
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise

from inventory.holdings.rules.markings.answers import MarkingFault, listed
from inventory.holdings.rules.markings.tables import MarkingTables

NONE = "none"
_BLANK = frozenset("none nil blank absent missing".split())
_FILLING = frozenset("band bands colour colors colours color row and the of dots".split())
_PLACES = frozenset("body end tip dot top bottom other opposite".split())
_SHADES = frozenset("dark dk light lt pale deep bright".split())
_NO_COLOUR = re.compile(r"\bno (?:colou?r|band|dot)\b")
_TOKEN = re.compile(r"[^\W\d_]+|(?<![^\W_])[-–—−]+(?![^\W_])|[,;/]|[\d_]+|[^\s:.|+&()<>→\-–—−\"'=]")
_DASHES, _STROKES = "-–—−", ",;/"


@dataclass(frozen=True, slots=True)
class Colours:
    """The colours of a text in their order, ``none`` where it says that none is there.

    ``places``: where the text names them (body, end, dot, ...), for each colour the words before it.
    """

    found: tuple[str, ...]
    places: tuple[tuple[str, ...], ...]

    @property
    def named(self) -> bool:
        return any(self.places)


def looks_coloured(text: str, tables: MarkingTables) -> bool:
    """Whether a text has a colour of the code among its words."""
    return any(word in tables.words for word in _TOKEN.findall(text.lower()))


def colours_in(text: str, tables: MarkingTables) -> Colours:
    """The colours that a text names. Raises MarkingFault for a word that is none, and does not guess what it means."""
    tokens = _TOKEN.findall(_NO_COLOUR.sub(NONE, text.lower()))
    blanks = _has_dotted_blanks(tokens, tables) or _some_gaps_dashed(tokens, tables)
    found: list[str] = []
    places: list[tuple[str, ...]] = []
    before: tuple[str, ...] = ()
    for at, token in enumerate(tokens):
        if token in _PLACES:
            before = (*before, "end" if token == "tip" else token)
        elif token in _FILLING or token in _STROKES or (token[0] in _DASHES and not (blanks or _alone(tokens, at))):
            continue
        elif colour := NONE if token in _BLANK or token[0] in _DASHES else tables.words.get(token, ""):
            found.append(colour)
            places.append(before)
            before = ()
        else:
            raise MarkingFault(_unknown(token, tables))
    return Colours(tuple(found), tuple(places))


def _alone(tokens: list[str], at: int) -> bool:
    """Whether a dash stands where a colour would: at an end, behind a word for a place, beside a comma or stroke."""
    before, after = tokens[at - 1] if at else "", tokens[at + 1] if at + 1 < len(tokens) else ""
    return not before or not after or before in _PLACES or before in _STROKES or after in _STROKES


def _some_gaps_dashed(tokens: list[str], tables: MarkingTables) -> bool:
    """Whether a dash stands between some colours and between others not: who parts colours by dashes parts all."""
    gaps = [
        between and any(token[0] in _DASHES for token in between)
        for between in _between(tokens, tables)
    ]  # fmt: skip
    return any(gaps) and not all(gaps) and not any(token in _STROKES for token in tokens)


def _between(tokens: list[str], tables: MarkingTables) -> list[list[str]]:
    """What stands between each colour and the next."""
    at = [number for number, token in enumerate(tokens) if token in tables.words or token in _BLANK]
    return [tokens[first + 1 : last] for first, last in pairwise(at)]


def _has_dotted_blanks(tokens: list[str], tables: MarkingTables) -> bool:
    """Whether dashes between colours are blanks since only with them there are six, of which the first is a type."""
    found = [one for one in tokens if one in tables.words or one[0] in _DASHES or one in _BLANK]
    return len(found) == 6 and bool(tables.of("dots-type", tables.words.get(found[0], "")))


def _unknown(token: str, tables: MarkingTables) -> str:
    expected = listed(list(dict.fromkeys(tables.words.values())))
    if token in _SHADES:
        return f"{token!r} is no shade of the code, which knows one of each colour: name {expected}"
    like = get_close_matches(token, tables.words, 1, 0.75)
    hint = f"did you mean {tables.words[like[0]]}? Expected" if like else "expected"
    return f"{token[:40]!r} is no colour of the code; {hint} {expected}, or none where there is no band"
