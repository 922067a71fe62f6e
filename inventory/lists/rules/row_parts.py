"""Parts of a row that are text: serials, mates, places."""

import re
from dataclasses import dataclass

from inventory.holdings.rules.cells import Remark, says_ditto, says_nothing, says_unknown, shown
from inventory.lists.rules.place_words import one_in_another

_PREFIX = re.compile(
    r"(?:#|s/n|sn(?=[ :.#])|ser(?:ial)?\.?(?: ?(?:no|nr|#))?|no\.|nr\.?(?=[ 0-9])|nummer)\s*[:.#]*\s*", re.IGNORECASE
)
_NUMBERED = re.compile(
    r"(?:#|\bs/n|\bser(?:ial)?\.?|\bnr\.?|\bno\.)\s*:?\s*(?P<serial>[A-Z]{0,3}-?[0-9][0-9A-Z-]{0,19})", re.IGNORECASE
)
_IS = re.compile(
    r"\b(?:book|chart|mate|meter|set|unit|receiver|transmitter|buch|gerät|carnet|boek)\s+(?:is|ist|est)\s*(?P<serial>[A-Z]?-?[0-9][0-9A-Z-]{1,19})\b",
    re.IGNORECASE,
)
_ALONE = re.compile(r"[A-Z]{0,3}-?[0-9]{2,10}(?:-?[A-Z]{1,2})?", re.IGNORECASE)
_PLACES = re.compile(r"\s*(?:[,;&+]|\band\b|\bund\b|\bet\b|\ben\b|(?<=\s)[aeiyи](?=\s))\s*")
_CODE = re.compile(r"(?:[^\W\d_]{1,12}[- .]?)?[0-9]{1,5}[A-Z]?|[A-Z]-?[0-9]{1,4}", re.IGNORECASE)

#: Of a part that begins with a count where the list counts in a column of its own.
SECTIONS = Remark(
    "begins with a count, which can be of sections in one can: kept in its name, and no value is read",
    "give it its kind by Change on its page, with the sections in words, or correct the count",
)


@dataclass(frozen=True, slots=True)
class TextPart:
    """A text part of a row; `values` are what it holds: one serial, one place, several, or none."""

    text: str
    values: tuple[str, ...] = ()
    remark: Remark | None = None

    @property
    def value(self) -> str:
        """The one value; "" where there is none or more than one."""
        return self.values[0] if len(self.values) == 1 else ""


def read_serial(cell: str) -> TextPart:
    """A serial, digit for digit, without `#` or `S/N`; it is text: leading zeros and letters stay."""
    text = " ".join(cell.split())
    if not text or says_nothing(text) or text.casefold() in ("none", "keine", "no serial", "ohne"):
        return TextPart(text)
    if says_unknown(text):
        return TextPart(text, remark=Remark("the serial is not known", "read the plate"))
    if says_ditto(text):
        return TextPart(text, remark=Remark("refers to another row, no serial is taken", "write the serial itself"))
    serial = _PREFIX.sub("", text, count=1).strip() if _PREFIX.match(text) else text
    several = tuple(filter(None, re.split(r"\s*(?:[,;&]|\band\b|\bund\b|(?<=[0-9]) / ?(?=[0-9]))\s*", serial[:500])))
    if len(several) > 1:
        return TextPart(text, several, Remark(f"more than one serial in {shown(text)}", "give each thing its own row"))
    if "?" in serial:
        return TextPart(text, (serial,), Remark("the serial is doubted in the list", "read the plate"))
    if re.fullmatch(r"[0-9]+\.0", serial):
        return TextPart(text, (serial,), Remark("a spreadsheet may have added .0 to the serial", "read the plate"))
    return TextPart(text, (serial,) if serial else ())


def read_mate(cell: str) -> TextPart:
    """The serial of the thing this one goes with, out of a cell of words; the words are kept."""
    text = " ".join(cell[:1000].split())
    if not text or says_nothing(text) or says_unknown(text):
        return TextPart(text)
    if says_ditto(text):
        return TextPart(text, remark=Remark("refers to another row, no mate is taken", "write the mate's serial"))
    if _ALONE.fullmatch(text):
        return TextPart(text, (text,))
    found = tuple(dict.fromkeys(m["serial"] for pattern in (_NUMBERED, _IS) for m in pattern.finditer(text)))
    if len(found) == 1:
        return TextPart(text, found)
    reason = f"more than one number in {shown(text)}" if found else f"no serial found in {shown(text)}"
    return TextPart(text, found, Remark(reason, "write the mate's serial alone"))


def read_place(cell: str) -> TextPart:
    """A place as written; several codes in one cell are several places, of which none is chosen.

    A place and what lies in it (`Regal 1, Fach 4`) are one.
    """
    text = " ".join(cell.split())
    if not text or says_nothing(text):
        return TextPart(text)
    if says_unknown(text):
        return TextPart(text, remark=Remark("the place is not known", "look for it and give its place"))
    if any(says_ditto(step) for step in text.split(" / ")):
        return TextPart(text, remark=Remark("refers to the row above, no place is taken", "write the place itself"))
    parts = tuple(part for part in _PLACES.split(text[:500]) if part)
    several = len(parts) > 1 and all(_CODE.fullmatch(part) for part in parts)
    if several and not one_in_another(parts, _PLACES.findall(text[:500])):
        return TextPart(
            text, parts, Remark(f"{len(parts)} places in one cell, none is chosen", "say how many lie where")
        )
    return TextPart(text, (text,))
