"""Which type the tube is that bears a stamp: decided here for lists, the shelf, pages and the demo alike.

A stamp settles a type only where everything that could be a number was read: of ``STV 280/80`` the reader knows the
80, and the rest of that number stays over. Numbers tied by a stroke (6AC7/1852) are as often two names of one tube;
common practice, no source.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from tubes.rules.family import form_of
from tubes.rules.forms import Forms
from tubes.rules.relations import is_unchecked
from tubes.rules.schemes import CIVIL, JAN, Setting, forms
from tubes.rules.stamp import StampAnswer, StampTables, read_stamp
from tubes.rules.stamp_words import WORDS
from tubes.rules.text import fold_key


class Doubt(StrEnum):
    """Why a stamp settles no type; NONE where it settles one."""

    NONE = ""
    SEVERAL = "several"  # more than one meaning
    OTHER_HALF = "other half"  # beside a known number another one that is not in the tables
    PART_OF_MORE = "part of more"  # the known number is the end of a longer one that is not in the tables
    OPEN = "open"  # no known number, or only a lead


@dataclass(frozen=True, slots=True)
class ThisTube:
    """``type`` where the stamp settles it; else the doubt, and in ``beside`` the text that raises it."""

    type: str | None
    doubt: Doubt = Doubt.NONE
    beside: str = ""


#: What looks like a tube number: letters and figures, 6SNX, EF80, VT-999.
_NUMBER_LIKE = re.compile(r"[0-9]{1,3}[A-Z]{1,4}[0-9]{0,3}[A-Z]{0,3}|[A-Z]{1,4}-?[0-9]{2,5}[A-Z]{0,3}", re.IGNORECASE)
_GLUED = re.compile(r"(?P<n>[1-9][0-9]?)[x×](?P<mark>(?=[^\s]*[A-Z])[^\s/]+(?:\s[^/]*)?)", re.IGNORECASE)
#: Words beside a number that tell of its state, its packing, its looks or who made it; no part of any number.
_PLAIN = WORDS | frozenset(
    """
    BOXED UNBOXED UNUSED ORIGINAL ORIG OVP NEU GEBRAUCHT GEPRUFT GUT DEFEKT TAUB DUD STRONG EXCELLENT GETTER TOP SIDE
    PLATE PLATES GREY GRAY CLEAR SMOKED COATED BROWN WHITE BULB TALL SHORT SMALL LARGE MILITARY SURPLUS CARTONED SLEEVE
    SLEEVED QUAD DOUBLE TRIODE PENTODE TETRODE DIODE RECTIFIER REGULATOR BEAM POWER TRANSMITTING TRANSMITTER RECEIVING
    GLEICHRICHTER ROHRE RÖHRE SENDERÖHRE SENDEROHRE LAMPE BUIS VALVO SIEMENS LORENZ TUNGSRAM ZAERIX EDICRON TESLA RFT
    NATIONAL UNION ARCTURUS TAYLOR UNITED HEINTZ KAUFMAN CHATHAM BENDIX EMERSON ZENITH DELCO SYLV HYTRON RAY WESTINGH
    JANUARY FEBRUARY MARCH APRIL MAY JUNE JULY AUGUST SEPTEMBER OCTOBER NOVEMBER DECEMBER
    FEB MAR APR JUN JUL AUG SEP OCT NOV DEC
    AND OR WITH THE A OF FOR FROM MIT UND ODER ET OU EN VAN UK US FRANCE GERMANY HOLLAND ITALY JAPAN CANADA
    """.split()
)
#: Month and year, year and week, a year, as they stand on cartons of 1920 to 1979.
_DATE = re.compile(r"(?:0?[1-9]|1[0-2])[-/.](?:19)?[2-7][0-9]|[3-7][0-9]-[0-5][0-9]|'?[3-7][0-9]|19[2-9][0-9]s?")


def this_tube(answer: StampAnswer, same_as: Callable[[str], frozenset[str]], types: frozenset[str]) -> ThisTube:
    """What a stamp settles. ``same_as``: the names of one tube; ``types``: those that are known.

    A number that is only a lead, or that names a ruggedized or changed form, is counted under its own mark.
    """
    if answer.ambiguous:
        return ThisTube(None, Doubt.SEVERAL)
    if half := other_half(answer):
        return ThisTube(None, Doubt.OTHER_HALF, half)
    if part := part_of_more(answer):
        return ThisTube(None, Doubt.PART_OF_MORE, part)
    if weak := _beside_words(answer):
        return ThisTube(None, Doubt.OPEN, weak)
    settled = [r for r in answer.readings if r.type and r.relation == "same" and not is_unchecked(r.note)]
    for reading in settled:
        if reading.type and all(r.type in same_as(reading.type) for r in settled):
            return ThisTube(reading.type)
    own = set() if settled else {r.designation for r in answer.readings} & types
    return ThisTube(own.pop()) if len(own) == 1 else ThisTube(None, Doubt.OPEN)


def _beside_words(answer: StampAnswer) -> str:
    """What stands beside a number that only a handbook has and that is in the form of no scheme; empty: plain words.

    Among words that nobody knows, C50 is as often a drawer.
    """
    weak = any(one.grade and not forms(fold_key(one.designation), Setting()) for one in answer.readings)
    return left_unread(answer) if weak else ""


def form_marked(answer: StampAnswer, settled: ThisTube, forms: Forms, types: frozenset[str]) -> str:
    """The form of a known type that a stamp names by its letters (6SN7GTA of 6SN7GT) where it is no type itself.

    Empty where it names none, or more than one number. It settles nothing: the tube may serve, with care.
    """
    named = {reading.designation for reading in answer.readings}
    if settled.doubt is not Doubt.OPEN or len(named) != 1 or _tied_and_left(answer):
        return ""
    name, written = named.pop(), {reading.scheme for reading in answer.readings}
    if name in types or not written <= CIVIL | {JAN}:  # a letter behind a VT number is no letter of a form
        return ""
    return name if form_of(name) and forms.others(name) else ""


def parts_read(answer: StampAnswer, settled: ThisTube) -> tuple[str, ...]:
    """The known numbers of a stamp that are only parts of what it says; none where no number is left over beside."""
    if settled.doubt not in (Doubt.OTHER_HALF, Doubt.PART_OF_MORE):
        return ()
    return tuple(dict.fromkeys(reading.designation for reading in answer.readings if reading.type))


def parts_in_words(answer: StampAnswer, settled: ThisTube) -> str:
    """Why the numbers that were read answer nothing, in a sentence; empty where they do."""
    parts = ", ".join(parts_read(answer, settled))
    if not parts:
        return ""
    if settled.doubt is Doubt.PART_OF_MORE:
        return f"{settled.beside} is not in the tables; {parts} is only a part of it."
    return f"{settled.beside} is not in the tables, whatever {parts} beside it is."


def other_half(answer: StampAnswer) -> str:
    """A number beside a known one that is not known itself (5692/6SN7); nothing where there is none.

    A number of figures alone (6AC7/1852) is often a maker's own for the same tube, and raises no doubt.
    """
    typed = {fold_key(reading.designation) for reading in answer.readings if reading.type}
    if not typed:
        return ""
    for reading in answer.readings:
        if fold_key(reading.designation) not in typed and _NUMBER_LIKE.fullmatch(reading.designation):
            return reading.designation
    return _tied_and_left(answer)


def _tied_and_left(answer: StampAnswer) -> str:
    """What looks like a number, is tied to another one by a stroke and was left over; nothing where there is none."""
    left = set(answer.leftover.split())
    tied = (part.strip(" ()=") for part in answer.stamp.split("/")) if "/" in answer.stamp else ()
    return next((part for part in tied if part in left and _NUMBER_LIKE.fullmatch(part)), "")


def part_of_more(answer: StampAnswer) -> str:
    """The longer number of which a known number of figures alone is only the end: STV 280/80, RV 12 P 2000, T 80."""
    if not answer.leftover.strip():
        return ""
    left = answer.leftover.split()
    for reading in answer.readings:
        number = fold_key(reading.designation)
        if not reading.type or not number.isdecimal():
            continue
        for found in _longer(number).finditer(answer.stamp):
            more = found["before"] or found["behind"] or found["letters"]
            if any(more in word for word in left) and not _is_plain(more) and not _DATE.fullmatch(found.group()):
                return found.group().strip()
    return ""


@lru_cache(maxsize=200)
def _longer(number: str) -> re.Pattern[str]:
    """Figures tied to a number by a stroke, with the letters before them; letters and figures spaced before it."""
    return re.compile(
        rf"(?:[A-Za-z]{{1,5}}[ .-]?)?(?<![0-9])(?P<before>[0-9]{{2,4}}) ?[/-] ?{number}(?![\w/-])"
        rf"|(?<![\w/-]){number} ?/ ?(?P<behind>[0-9]{{2,4}})(?![\w/-])"
        rf"|(?<![\w/-])(?P<letters>[A-Z]{{1,4}})(?:[ -]?[0-9]{{1,3}} ?[A-Z]{{0,2}})? {number}(?![\w/-])"
    )


def counted_mark(text: str, tables: StampTables) -> tuple[int, str] | None:
    """(count, number) of a text that may be a count glued to a known number: 2xEL84; never of 2X2, a number itself."""
    match = _GLUED.fullmatch(text.strip())
    if not match or any(reading.type for reading in read_stamp(text, tables).readings):
        return None
    alone = read_stamp(match["mark"], tables)
    known = bool(alone.readings) and all(reading.type for reading in alone.readings)
    return (int(match["n"]), match["mark"]) if known and not alone.refused and not left_unread(alone) else None


def left_unread(answer: StampAnswer) -> str:
    """What stands beside the numbers of a stamp and is no plain word or date; nothing where nothing was read."""
    if not answer.readings:
        return ""
    words = [word.strip(",;:()[]\"'") for word in answer.leftover.split()]
    return " ".join(word for word in words if not _is_plain(word) and not _DATE.fullmatch(word))


def _is_plain(word: str) -> bool:
    parts = [part for part in re.split(r"[-./+&]", word.upper()) if part]
    return all(part in _PLAIN for part in parts) or not any(map(str.isalnum, word))
