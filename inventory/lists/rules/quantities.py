"""Counts as people write them. Unknown is not zero, about is not sure, a dud is no spare, a pair is no matched pair.

The ways of writing and what each means: common practice, no source. A count is never read larger than the figures
written, a dozen being twelve and a pair two, and two boxes of ten twenty to be counted.
"""

import re
from dataclasses import dataclass, replace

from inventory.holdings.rules.cells import (
    FORMULA,
    Remark,
    figures_text,
    read_cell,
    says_ditto,
    says_nothing,
    says_unknown,
    shown,
)
from inventory.holdings.rules.date_words import MONTH, MONTHS
from inventory.lists.rules.count_words import ABOUT_WORDS, ALONE, FEW, PAIR_NOUN, UNIT, WORD_FIGURES, ZERO
from inventory.lists.rules.states import DUD, GASSY, GOOD, UNTESTED, WEAK, doubted, stated, states_in

COUNTED, APPROXIMATE, AT_LEAST, AT_MOST, RANGE = "counted", "approximate", "at least", "at most", "range"
UNKNOWN, REFUSED = "unknown", "refused"

STATES = (GOOD, UNTESTED, WEAK, DUD)
#: More of one thing on one line is taken for a figure of another column.
MOST_OF_ONE = 100_000


@dataclass(frozen=True, slots=True)
class Quantity:
    """`figure` the number of things to write, duds not among them; None when unknown. `duds` are written as duds.

    `least` and `most` bound figure plus duds where the text does. `parts` are the counts of `3+1` in order. `to_count`
    puts the thing on the list of what must be counted. `stated` are the groups of `figure` of which the count itself
    says a state: (count, state, the word); a state of "" is the one that the row gives.
    """

    text: str
    kind: str
    figure: int | None = None
    least: int | None = None
    most: int | None = None
    duds: int = 0
    parts: tuple[int, ...] = ()
    pair: bool = False
    remark: Remark | None = None
    stated: tuple[tuple[int, str, str], ...] = ()
    counting: bool | None = None  # what a register says of it; None: what follows from the kind

    @property
    def to_count(self) -> bool:
        return self.kind not in (COUNTED, REFUSED) if self.counting is None else self.counting


_SIMPLE = re.compile(
    rf"(?:qty|qty\.|x)?\s*:?\s*(?P<figure>[0-9]{{1,12}}|[^\W\d_]{{2,8}})(?P<tail>\.(?:0{{1,2}}|0{{4,6}}))?\s*(?:{UNIT})?"
)
_HALF = re.compile(
    rf"(?:(?P<whole>[0-9]{{1,4}})\s+)?(?:1\s*/\s*2|half|halbes|halb|demi|une demi|een half|half een)"
    rf"(?:\s+an?)?[\s-]*{UNIT}"
)
_SUM = re.compile(r"[0-9]{1,6}(?:\s*\+\s*[0-9]{1,6}){1,5}")
_DUD_WORD = r"(?:duds?|bad|dead|taub|taube|defekt|kaputt|defect|tot|broken|shorted|open|u/s|h\.?\s?s|hors service)"
#: `3 dont 1 HS`: what stands behind is among what stands before.
_AMONG = r"(?:,?\s*\(?\s*(?:dont|davon|of which|of them|including|incl\.?|waarvan|di cui))"
_WITH_DUDS = re.compile(
    rf"(?P<all>[0-9]{{1,6}})(?:(?P<among>{_AMONG}\s)|\s*[(,;])\s*(?P<duds>[0-9]{{1,6}})\s*(?:x\s*)?{_DUD_WORD}\.?\s*\)?"
)
_ONLY_DUDS = re.compile(rf"(?P<duds>[0-9]{{1,6}})\s*(?:x\s*)?{_DUD_WORD}\.?")
_WITH_STATE = re.compile(
    rf"(?P<all>[0-9]{{1,6}})(?:{_AMONG}\s|\s*\()\s*(?P<some>[0-9]{{1,6}})\s*(?:x\s*)?(?P<word>[^\d,;+&()]{{1,40}})\)?"
)
_WHOLE_AND_PARTS = re.compile(
    rf"(?P<all>[0-9]{{1,6}})\s*(?:{UNIT.replace('?P<dozen>', '').replace('?P<pair>', '').replace('?P<gross>', '')})?\s*"
    r"(?:[(\[](?P<parts>[^()\[\]]*[0-9][^()\[\]]*)[)\]]|[:=]\s*(?P<rest>[0-9].*))"
)
#: `6 (all NOS)`.
_ALL_SO = re.compile(r"(?P<all>[0-9]{1,6})\s*\((?:(?:all|alle|tous|toutes|tutte|tutti)\s+)?(?P<word>[^()0-9]{1,40})\)")
_BOXES = re.compile(
    r"(?P<many>[0-9]{1,4}|[^\W\d_]{2,8})\s*(?:x\s*)?(?:box(?:es)?|cartons?|cases?|packs?|packets?|sleeves?|bags?|trays?|"
    r"kartons?|kisten?|schachteln?|boîtes?|doosjes?)\s+(?:of|mit|zu|je|von|à|de|met|van)\s+(?P<each>[0-9]{1,4})"
)
#: What a spreadsheet makes of 1-2, and of 12-5.
_DAY = "0?[1-9]|[12][0-9]|3[01]"
_AS_DATE = re.compile(
    rf"(?P<day>{_DAY})(?:-|\.\s?){MONTH}|{MONTH.replace('<month>', '<first>')}(?:-|\s)(?P<last>{_DAY})|"
    rf"(?:19|20)[0-9]{{2}}-(?P<of>0[1-9]|1[0-2])-(?P<iso>{_DAY})(?:[ t]00:00(?::00)?)?"
)
_PLUS_DUDS = re.compile(rf"(?P<good>[0-9]{{1,6}})\s*(?:\+|and|und|plus)\s*(?P<duds>[0-9]{{1,6}})\s*{_DUD_WORD}")
#: `3 good 2 bad`: a figure and its word.
_PART = re.compile(r"(?P<count>[0-9]{1,6})\s*(?:x\s+)?(?P<word>[^\d,;+&()]{1,40})")
_EITHER = re.compile(r"\b(?:or|oder|ou|of)\b")
_AGE = re.compile(
    r"(?:new|neue?|nos|nib|unused|boxed|used|gebrauchte?|gebr|pulls?|neufs?|neuves?|occasions?|usagée?s?|nieuwe?|gebruikte?|"
    r"nuov[aoei]|usat[aoei]|nuev[ao]s?|usad[ao]s?|nowe|nowych|używane|używanych|nové|použité|новые|новых|бу|б/у)\.?"
    r"(?: (?:old stock|tubes?|in box|boxed))?"
)
_RANGE = re.compile(r"(?P<low>[0-9]{1,6})\s*(?:-|to|bis|or|oder|ou|of|/)\s*(?P<high>[0-9]{1,6})")
_ABOUT = re.compile(
    r"(?:about|abt\.?|approx\.?|approximately|circa|ca\.?|c\.?|ungefähr|etwa|environ|env\.?|ongeveer|~|±|\+/-)\s*(.+)"
)
_LEAST = re.compile(r"(?:at least|min\.?|mindestens|mind\.|over|more than|über|au moins|minstens|>=?)\s*(.+)")
_MOST = re.compile(r"(?:at most|up to|max\.?|höchstens|bis zu|under|less than|<=?)\s*(.+)")
_MORE = re.compile(r"(.+?)\s*(?:\+|or more|oder mehr|ou plus|of meer|und mehr|plus)")
_COUNT = "count them and correct the number"


def read_quantity(cell: str) -> Quantity:
    """Read a count of any content; never raises. Negative counts and formulas are refused, empty is unknown."""
    seen = read_cell(cell)
    if seen.kind == FORMULA or seen.text.startswith("+"):
        return _refused(
            cell, f"{shown(seen.text)} is a formula or a change, not a count", "write the number of things as text"
        )
    if seen.remark:
        return _refused(cell, seen.remark.reason, seen.remark.action)
    text = figures_text(re.sub(r"\s*½", " 1/2", seen.text))
    if text is None:
        return _unknown(cell, "cannot be read as a count")
    plain = text.casefold().strip().strip("\"'").strip()
    if PAIR_NOUN.fullmatch(text.strip()):  # a noun has a capital: "ein paar" are a few
        plain = "1 pair"
    if re.match(r"-\s*[0-9.]", plain) or re.fullmatch(r"\([0-9]+\)-|[0-9]+-", plain):
        return _refused(cell, "a count below zero", "write how many there are")
    found = _read(cell, plain)
    return found if (found.most or found.figure or 0) <= MOST_OF_ONE else _too_large(cell)


def _read(cell: str, plain: str) -> Quantity:
    if not plain or says_unknown(plain) or says_nothing(plain) or says_ditto(plain):
        return _unknown(cell, "no count is given" if not plain else "the count is not known")
    if plain in ZERO:
        return Quantity(cell, COUNTED, 0, 0, 0)
    # An exclamation mark and brackets add nothing; a question mark takes away.
    bare = plain.rstrip("! ").strip()
    if re.fullmatch(r"\([^()]*\)", bare):
        bare = bare[1:-1].strip()
    if "?" in bare:
        return _doubted(cell, bare)
    if found := _AS_DATE.fullmatch(bare):
        return _as_date(cell, found)
    return (
        _some(cell, bare)
        or _boxes(cell, bare)
        or _duds(cell, bare)
        or _broken_down(cell, bare)
        or _sum(cell, bare)
        or _bounded(cell, bare)
        or _stated(cell, bare)
        or _plain(cell, bare)
    )


def _as_date(cell: str, found: re.Match[str]) -> Quantity:
    """A count or a range that a spreadsheet took for a day of a month."""
    day = int(found["day"] or found["last"] or found["iso"])
    month = int(found["of"]) if found["of"] else MONTHS[found["month"] or found["first"]]
    was = " or ".join(dict.fromkeys((f"{day}-{month}", f"{month}-{day}")))
    return _unknown(cell, f"{shown(cell.strip())!r}: a spreadsheet turned it into a date, it may have been {was}")


def _some(cell: str, bare: str) -> Quantity | None:
    """`5 (2 weak)`: some of them in a state, the others in that of the row."""
    found = _WITH_STATE.fullmatch(bare)
    word = found["word"].strip() if found else ""
    said = states_in(word)
    if not found or len(said) != 1 or not said <= {GOOD, WEAK, UNTESTED} or _EITHER.search(word) or doubted(word):
        return None
    total, some = int(found["all"]), int(found["some"])
    if some > total:
        return _unknown(cell, f"more {shown(word)} ({some}) than things ({total})")
    groups = tuple(group for group in ((total - some, "", ""), (some, said.pop(), word)) if group[0])
    remark = Remark(
        f"read as {some} {shown(word)} among {total}{_taken_as_weak(word)}", "correct it if they come on top"
    )
    return Quantity(cell, COUNTED, total, total, total, stated=groups, remark=remark)


def _broken_down(cell: str, bare: str) -> Quantity | None:
    """`6 (4 NOS + 2 used)`: the whole, and its parts in brackets, which must come to it."""
    if all_of := _ALL_SO.fullmatch(bare):
        return _stated(cell, f"{all_of['all']} {all_of['word']}")
    found = _WHOLE_AND_PARTS.fullmatch(bare)
    inner = (found["parts"] or found["rest"]).strip() if found else ""
    parts = (_stated(cell, inner) or _sum(cell, inner)) if found else None
    if found is None or parts is None or parts.figure is None:
        return None
    whole, told = int(found["all"]), parts.figure + parts.duds
    if told == whole:
        return parts
    if told > whole or not parts.stated:
        return _unknown(cell, f"{shown(cell.strip())!r}: the parts come to {told}, the whole is {whole}")
    rest = Remark(f"{shown(cell.strip())}: of {whole - told} of {whole} no state is said", "correct it if need be")
    stated = ((whole - told, "", ""), *parts.stated)
    return replace(parts, figure=whole - parts.duds, least=whole, most=whole, stated=stated, remark=rest)


def _boxes(cell: str, bare: str) -> Quantity | None:
    """`2 boxes of 10` and `une dizaine`: a number to begin with, and to be counted."""
    if found := re.fullmatch(r"(?:environ )?(?:une |la )?(?P<word>[a-z]{5,12})(?: d[e'].{0,40})?", bare):
        number = ABOUT_WORDS.get(found["word"])
        return _rough(cell, APPROXIMATE, number, None, None) if number else None
    found = _BOXES.fullmatch(bare)
    many = (int(found["many"]) if found["many"].isdigit() else WORD_FIGURES.get(found["many"])) if found else None
    if not found or many is None:
        return None
    return _rough(cell, APPROXIMATE, many * int(found["each"]), None, None)


def _stated(cell: str, bare: str) -> Quantity | None:
    """`3 good 2 bad`: each figure with the state that its word states, the duds apart."""
    if re.sub(r"[\s,;+&/]", "", _PART.sub("", bare)) or not bare[:1].isdigit():
        return None
    groups: list[tuple[int, str, str]] = []
    for part in _PART.finditer(bare):
        word = re.sub(r"(?:^|\s)(?:and|und|et|en|plus)$|[\s/]+$", "", part["word"].strip())
        said = states_in(word)
        state = said.pop() if len(said) == 1 else UNTESTED if _AGE.fullmatch(word) else ""
        if state not in STATES or _EITHER.search(word) or doubted(word):
            return None
        groups.append((int(part["count"]), state, word))
    kept = tuple(group for group in groups if group[1] != DUD and group[0])
    duds = sum(count for count, state, _ in groups if state == DUD)
    figure = sum(count for count, _, _ in kept)
    gas = next((_taken_as_weak(word) for _, _, word in kept if _taken_as_weak(word)), "")
    remark = Remark(f"{shown(cell)}{gas}", "test them; gas alone makes no dud") if gas else None
    return Quantity(cell, COUNTED, figure, figure + duds, figure + duds, duds, stated=kept, remark=remark)


def _taken_as_weak(word: str) -> str:
    return ": gas is told, taken as weak" if GASSY in stated(word) else ""


def _plain(cell: str, bare: str) -> Quantity:
    simple = _figure(bare)
    if simple is None:
        return _unknown(cell, _why(cell.strip(), bare))
    number, pair = simple
    remark = (
        Remark("a pair in the list is no measured match", "measure them before they go as a pair") if pair else None
    )
    return Quantity(cell, COUNTED, number, number, number, pair=pair, remark=remark)


def _why(found: str, bare: str) -> str:
    if FEW.fullmatch(bare):
        return f"{shown(found)!r} is no number"
    if re.search(r"[0-9][.,][0-9]", bare):
        return f"{shown(found)!r} is no whole number, or a thousands mark that can be read two ways"
    return f"{shown(found)!r} cannot be read as a count"


def _figure(bare: str) -> tuple[int, bool] | None:
    """(count, was a pair written) of one figure with or without a counting word."""
    if half := _HALF.fullmatch(bare):
        if not (half["dozen"] or half["gross"]):
            return None
        return (2 * int(half["whole"] or 0) + 1) * (6 if half["dozen"] else 72), False
    bare = f"1 {bare}" if ALONE.fullmatch(bare) else bare
    found = _SIMPLE.fullmatch(re.sub(r"^an? (?=doz|dz|pair|gross)", "1 ", bare))
    if not found or FEW.fullmatch(bare):  # "ein paar" is a few as often as a pair
        return None
    text = found["figure"]
    number = int(text) if text.isascii() and text.isdigit() else WORD_FIGURES.get(text)
    if number is None:
        return None
    size = 12 if found["dozen"] else 2 if found["pair"] else 144 if found["gross"] else 1
    return number * size, bool(found["pair"])


def _duds(cell: str, bare: str) -> Quantity | None:
    if found := _WITH_DUDS.fullmatch(bare):
        total, duds = int(found["all"]), int(found["duds"])
        if duds > total:
            return _unknown(cell, f"more duds ({duds}) than things ({total})")
        reason = f"read as {duds} dud among {total}: {total - duds} counted"
        remark = None if found["among"] else Remark(reason, "correct it if the duds come on top")
        return Quantity(cell, COUNTED, total - duds, total, total, duds, remark=remark)
    if found := _ONLY_DUDS.fullmatch(bare):
        duds = int(found["duds"])
        return Quantity(cell, COUNTED, 0, duds, duds, duds)
    if found := _PLUS_DUDS.fullmatch(bare):
        good, duds = int(found["good"]), int(found["duds"])
        return Quantity(cell, COUNTED, good, good + duds, good + duds, duds)
    return None


def _sum(cell: str, bare: str) -> Quantity | None:
    if not _SUM.fullmatch(bare):
        return None
    parts = tuple(int(part) for part in re.findall("[0-9]+", bare))
    reason = f"{shown(bare)} read as {sum(parts)} things in {len(parts)} groups; what sets them apart is not said"
    return Quantity(
        cell,
        COUNTED,
        sum(parts),
        sum(parts),
        sum(parts),
        parts=parts,
        remark=Remark(reason, "give each group its own row"),
    )


def _bounded(cell: str, bare: str) -> Quantity | None:
    if found := _RANGE.fullmatch(bare):
        low, high = int(found["low"]), int(found["high"])
        if "/" in bare or low >= high:
            return _unknown(cell, f"{shown(cell.strip())!r} can be read more than one way")
        return _rough(cell, RANGE, low, low, high)
    for kind, pattern in ((APPROXIMATE, _ABOUT), (AT_LEAST, _LEAST), (AT_MOST, _MOST), (AT_LEAST, _MORE)):
        found = pattern.fullmatch(bare)
        simple = _figure(found.group(1).strip()) if found else None
        if simple is None:
            continue
        number = simple[0]
        if kind == AT_MOST:
            return _rough(cell, AT_MOST, None, None, number)
        return _rough(cell, kind, number, number if kind == AT_LEAST else None, None)
    return None


def _rough(cell: str, kind: str, figure: int | None, least: int | None, most: int | None) -> Quantity:
    if figure == 0:
        return replace(_unknown(cell, "none or some: the count is not sure"), least=least, most=most)
    taken = f"{figure} taken" if figure is not None else "none taken"
    return Quantity(cell, kind, figure, least, most, remark=Remark(f"not a sure count, {taken}", _COUNT))


def _doubted(cell: str, bare: str) -> Quantity:
    simple = _figure(bare.replace("?", " ").strip())
    if simple is None:
        return _unknown(cell, f"{shown(cell.strip())!r} is no count")
    return _rough(cell, APPROXIMATE, simple[0], None, None)


def _unknown(cell: str, reason: str) -> Quantity:
    return Quantity(cell, UNKNOWN, remark=Remark(reason, _COUNT))


def _refused(cell: str, reason: str, action: str) -> Quantity:
    return Quantity(cell, REFUSED, remark=Remark(reason, action))


def _too_large(cell: str) -> Quantity:
    return _refused(cell, f"more than {MOST_OF_ONE} of one thing", "look whether this figure belongs to another column")
