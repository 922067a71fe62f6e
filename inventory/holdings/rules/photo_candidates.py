"""From the lines that were read on a photograph to what may be stamped there, with what speaks against each.

The text of a candidate is as it was read: nothing is mended. Signs that look alike only offer what else it could be. A
candidate is ``clear`` where the one reader of stamps settles a type and nothing found here speaks against it; it is
still no more than a proposal, since letters that are worn off or out of the picture leave no trace.
"""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from inventory.holdings.rules.look_alikes import dated, number_like, one_sign_other, unread_letters
from inventory.holdings.rules.photo_lines import Box, Line, box_of, together

SURE = 0.96  # a line below is not taken for clear; those read wrongly on made pictures lay below it, nearly all
MOST_OTHERS = 6
MOST_CANDIDATES = 30


class Against(StrEnum):
    """Why a candidate is not clear, as words behind its text."""

    WEAK = "the print is not clear enough to be sure of every letter"
    WORDS = "the words beside the number are not clear enough to be sure of every letter"
    TWICE = "the number stands there more than once: more tubes than one, or one that is stamped twice"
    CYRILLIC = "it may be Cyrillic: that letter cannot be read from a picture"
    EDGE = "it reaches the edge of the picture, more may follow"
    SECOND = "a second look reads it otherwise"
    SHORT = "so short that it may be the end of a longer number"
    OPEN = "the stamp reader settles no type by it"


@dataclass(frozen=True, slots=True)
class Made:
    """What the reader of stamps makes of a text: the type that it settles, its other names, whatever it may mean."""

    type: str | None
    same: frozenset[str] = frozenset()
    meanings: tuple[str, ...] = ()


Read = Callable[[str], Made]
Again = Callable[[Line], str]


@dataclass(frozen=True, slots=True)
class Other:
    """What a text could be as well, and the type that this settles."""

    text: str
    type: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """``beside``: lines of the same thing that are not part of the text; ``score``: of the least sure line in it;
    ``unsure``: lines of both from which nothing may be filled in.
    """

    text: str
    score: float
    box: Box
    made: Made
    against: tuple[Against, ...]
    others: tuple[Other, ...] = ()
    beside: tuple[str, ...] = ()
    unsure: tuple[str, ...] = ()

    @property
    def clear(self) -> bool:
        return not self.against


@dataclass(frozen=True, slots=True)
class Candidates:
    """``words``: what was read besides and is no number; ``unread``: how many places bear print that was not read;
    ``more``: texts of further candidates, of which there are too many to be looked through.
    """

    found: tuple[Candidate, ...]
    words: tuple[str, ...]
    unread: int = 0
    more: tuple[str, ...] = ()

    @property
    def settled(self) -> int:
        return sum(one.made.type is not None for one in self.found)


def candidates(
    lines: Sequence[Line], size: tuple[int, int], read: Read, again: Again | None = None, *, least: float = 0.5
) -> Candidates:
    """What may be stamped on the things of a picture of ``size`` (width, height); the surest readings first.

    Lines that the reader of pictures is less sure of than ``least`` count as print that was not read. ``again`` looks
    at one line a second time, in another way: asked only where nothing else speaks against a candidate.
    """
    asking = _Asking(size, read, again)
    readable = [line for line in lines if line.score >= least and any(map(str.isalnum, line.text))]
    found: list[Candidate] = []
    words: list[str] = []
    for group in together(readable):
        mine = _of_group(group, asking)
        found += mine
        words += [] if mine else [line.text for line in group]
    found.sort(key=lambda one: (one.made.type is None, not one.made.meanings, not one.clear))
    more = tuple(one.text for one in found[MOST_CANDIDATES:])
    return Candidates(tuple(found[:MOST_CANDIDATES]), tuple(words), len(lines) - len(readable), more)


@dataclass(frozen=True, slots=True)
class _Asking:
    size: tuple[int, int]
    read: Read
    again: Again | None

    def reads_alike(self, line: Line) -> bool:
        return self.again is None or _bare(self.again(line)) == _bare(line.text)


def _of_group(found: Sequence[Line], asking: _Asking) -> list[Candidate]:
    """One candidate for each type that stands there, and for each time that a number stands there again; without any
    type, one for what looks most like a number.
    """
    read = asking.read
    group = [part for line in found for part in _apart(line)]
    twice = {number for number, times in Counter(_numbers(line.text for line in group)).items() if times > 1}
    alone = [(line, read(line.text.strip())) for line in group]
    settling = [(line, made) for line, made in alone if made.type]
    whole = " ".join(line.text.strip() for line in group)
    of_whole = read(whole)
    again = len(settling) > 1 and any(number in twice for line, _ in settling for number in _numbers([line.text]))
    if of_whole.type and not again and all(made.type in of_whole.same | {of_whole.type} for _, made in settling):
        return [_candidate(group, whole, of_whole, asking, group, twice)]
    if settling:
        firsts: list[tuple[Line, Made]] = []
        for line, made in settling:
            if all(_is_another(line, made, *other) for other in firsts):
                firsts.append((line, made))
        return [
            _candidate([line], line.text.strip(), made, asking, group, twice, shared=len(firsts) > 1)
            for line, made in firsts
        ]
    meant = [line for line, made in alone if made.meanings] or [line for line in group if number_like(line.text)]
    if not meant:
        return []
    text = " ".join(line.text.strip() for line in meant)
    return [_candidate(meant, text, read(text), asking, group, twice)]


def _is_another(line: Line, made: Made, other: Line, settled: Made) -> bool:
    """Whether two lines are of two tubes: of two types, or the very same number again (and no other name of it)."""
    if made.type not in settled.same | {settled.type}:
        return True
    return bool(set(_numbers([line.text])) & set(_numbers([other.text])))


def _apart(line: Line) -> list[Line]:
    """A line in which a number stands more than once, cut before each further time."""
    seen: set[str] = set()
    cuts = [0]
    for word in re.finditer(r"\S+", line.text):
        for number in _numbers([word[0]]):
            if number in seen:
                cuts.append(word.start())
            seen.add(number)
    if len(cuts) == 1:
        return [line]
    whole = len(line.text)
    ends = [*cuts[1:], whole]
    return [line.part(at / whole, to / whole, line.text[at:to].strip()) for at, to in zip(cuts, ends, strict=True)]


def _numbers(texts: Iterable[str]) -> list[str]:
    """Every word that may be a number of a tube, bare of signs."""
    return [_bare(word) for text in texts for word in text.split() if number_like(word)]


def _candidate(
    lines: Sequence[Line],
    text: str,
    made: Made,
    asking: _Asking,
    group: Sequence[Line],
    twice: set[str],
    *,
    shared: bool = False,
) -> Candidate:
    """``twice``: numbers that stand in the group more than once; ``shared``: what stands beside may be another's."""
    bearing = [line for line in lines if number_like(line.text)] or list(lines)
    words = [line for line in lines if line not in bearing]
    cyrillic = _others(unread_letters(text), made, asking.read)
    others = [*cyrillic, *_others(one_sign_other(text), made, asking.read)]
    beside = [line for line in group if line not in lines]
    against = []
    if not made.type:
        against.append(Against.OPEN)
    if any(line.score < SURE for line in bearing):
        against.append(Against.WEAK)
    if any(line.score < SURE for line in words):
        against.append(Against.WORDS)
    if twice & set(_numbers([text])):
        against.append(Against.TWICE)
    if cyrillic:
        against.append(Against.CYRILLIC)
    if len(_bare(" ".join(line.text for line in bearing))) < 3:
        against.append(Against.SHORT)
    if _at_edge(box_of(bearing), asking.size):
        against.append(Against.EDGE)
    if not against and not all(asking.reads_alike(line) for line in bearing):
        against.append(Against.SECOND)
    if not against and not all(asking.reads_alike(line) for line in words):
        against.append(Against.WORDS)
    unsure = [line.text for line in lines if _is_unsure(line, asking)]
    unsure += [line.text for line in beside if shared or _is_unsure(line, asking)]
    told = tuple({other.type: other for other in reversed(others)}.values())[::-1][:MOST_OTHERS]
    return Candidate(
        text, round(min(line.score for line in lines), 3), box_of(lines), made, tuple(against), told,
        tuple(line.text for line in beside), tuple(unsure),
    )  # fmt: skip


def _is_unsure(line: Line, asking: _Asking) -> bool:
    """Whether nothing may be filled in from a line; a date code is looked at twice."""
    return line.score < SURE or (bool(dated(line.text)) and not asking.reads_alike(line))


def _others(texts: Iterable[str], made: Made, read: Read) -> list[Other]:
    """Texts that settle another type than the one that was read."""
    mine = made.same | {made.type, *made.meanings}
    told = [(text, read(text)) for text in texts]
    return [Other(text, other.type) for text, other in told if other.type and other.type not in mine]


def _bare(text: str) -> str:
    return "".join(sign for sign in text.upper() if sign.isalnum())


def _at_edge(box: Box, size: tuple[int, int]) -> bool:
    """Whether a box reaches one of the four edges, within a two hundredth of the longer side."""
    slack = max(size) / 200
    left, top, right, bottom = box
    return left <= slack or top <= slack or right >= size[0] - slack or bottom >= size[1] - slack
