"""What the cells of a column look like, scored over sample rows. Patterns of content: common practice, no source."""

import re
from collections.abc import Sequence

from inventory.lists.rules import fields as f
from inventory.lists.rules.states import read_state

_TUBE = re.compile(r"(?:JAN[- ]?)?(?:VT-?[0-9]{1,3}[A-Z]?|CV ?[0-9]{2,5}|"
                   r"[0-9]{1,3}[A-Z]{1,3}[0-9]{1,2}[A-Z]{0,3}|[A-Z]{2,4} ?[0-9]{2,3}|"
                   r"[A-Z]{2}[0-9]{1,2}[A-Z][0-9]{1,3}|VR-?[0-9]{2,3}(?:/[0-9]{2})?)(?:[ "
                   r"/(].{0,20})?", re.IGNORECASE)  # fmt: skip
_COUNT = re.compile(
    r"(?:about |~|ca\. ?)?[0-9]{1,3}(?:\+[0-9]{0,3}|!|\?| ?(?:dz|pr|pcs|stk)\.?)?(?: \([0-9]+ dud\))?", re.IGNORECASE
)
_PRICE = re.compile(
    r"(?:[$€£]|DM ?|(?:EUR|GBP|USD|CAD|AUD|NZD|CHF|SEK|NOK|DKK|DEM|JPY|RUB) ?|US\$ ?)\s*[0-9.,]+.*|"
    r"[0-9]*[.,][0-9]{2}|[0-9]+,-|[0-9.,]+ ?(?:€|EUR|DM|\$)",
    re.IGNORECASE,
)
_DATE = re.compile(
    r"[0-9]{1,4}[-./][0-9]{1,2}[-./][0-9]{2,4}|(?:19|20)[0-9]{2}\??|[A-Za-zä]{3,9}\.? '?[0-9]{2,4}|"
    r"[0-9]{1,2}/[0-9]{2,4}"
)
_PLACE = re.compile(r"(?:box|shelf|drawer|bin|rack|schub|kiste|fach|regal|crate|doos|boîte|tiroir|room) "
                    r"?[A-Z]?[-0-9]{1,5}[A-Z]?|[A-Z]-[0-9]{1,3}|"
                    r"[0-9]-[0-9]-[A-Z0-9]", re.IGNORECASE)  # fmt: skip
_READING = re.compile(
    r"[0-9.,]{1,6} ?/ ?[0-9.,]{1,6}(?: ?(?:umho|mA/V))?|[0-9.,]{1,6} ?(?:mA/V|umhos?|micromhos?|%)", re.IGNORECASE
)
_INSTRUMENT = re.compile(
    r".{0,30}\b(?:tester|checker|analy[sz]er|bridge|prüfgerät|röhrenprüf\w*|messbrücke|lampemètre|testeur|buizentester)"
    r"\b.{0,30}",
    re.IGNORECASE,
)
_LOOKS = (
    (f.PRICE, _PRICE),
    (f.DATED, _DATE),
    (f.READING, _READING),
    (f.QUANTITY, _COUNT),
    (f.PLACE, _PLACE),
    (f.INSTRUMENT, _INSTRUMENT),
    (f.MARK, _TUBE),
)


def guess_content(cells: Sequence[str]) -> tuple[str, float]:
    """(field, share of the cells that look like it) of the best guess, or ("", 0)."""
    if not cells:
        return "", 0.0
    counts = dict.fromkeys((*(field for field, _ in _LOOKS), f.STATE), 0)
    for cell in cells:
        look = _look(cell[:80])
        if look:
            counts[look] += 1
    best = max(counts, key=lambda field: counts[field])
    return (best, counts[best] / len(cells)) if counts[best] else ("", 0.0)


def _look(cell: str) -> str:
    for field, pattern in _LOOKS:
        if pattern.fullmatch(cell):
            return field
    if len(cell) <= 25 and (
        read_state(cell).state or re.fullmatch(r"(?:neu|new|nos|nib|used|gebr\.?|pull)", cell, re.IGNORECASE)
    ):
        return f.STATE
    return ""
