"""What a thing of the register says of a price of the keeper's own: what it left for, and in which grade it is.

The words are those that keepers write in their registers: common practice, no source. What they do not say plainly is
no evidence.
"""

import re

from inventory.holdings.rules.prices import MONEY, read_price
from inventory.house.currencies import is_currency
from inventory.house.money import Money

_SOLD = re.compile(r"(?<!not )(?<!never )\bsold\b", re.IGNORECASE)
#: Words by which the price may be that of several things; "lot 12" is but the number of a lot.
_OF_SEVERAL = re.compile(
    r"\blot of\b|\bin (?:a|one) lot\b|\b(?:a|the|per) pair\b|\b(?:both|together)\b|\b[0-9]+\s+(?:for|pcs|pieces)\b|"
    r"\bwith\b.{0,20}\bothers?\b",
    re.IGNORECASE,
)
_OF_ONE = re.compile(r"\b(?:each|apiece|its share)\b", re.IGNORECASE)
_PRICED = re.compile(
    r"(?:[€£]\s?[0-9][0-9.,']*[0-9]|[€£]\s?[0-9]|\b[A-Z]{3}\s?[0-9][0-9.,']*\b|\b[0-9][0-9.,']*\s?(?:[A-Z]{3}\b|[€£]))"
)
_UNUSED = re.compile(
    r"(?<!not )(?<!hardly )\b(?:unused|never used|new old stock|nos|nib|new in (?:its |the |a )?(?:original )?box)\b",
    re.IGNORECASE,
)
_BOXED = re.compile(
    r"(?<!no )(?<!without )\b(?:boxed|in (?:its |the )?(?:original )?(?:box|carton)|nib)\b", re.IGNORECASE
)
WEAK, DUD, SHORTED = "weak", "dud", "shorted"  # states of a tube; a word of what its tests say against it
OF_STATE = {"good": "used tested good", "untested": "used untested", WEAK: "weak", DUD: "dud"}


def sold_for(how: str) -> Money | None:
    """The one price in the words of how a thing left, where they say that it was sold; None where there is none.

    A price that may be that of several things is none of this one, but where the words say that it is.
    """
    if not _SOLD.search(how) or (_OF_SEVERAL.search(how) and not _OF_ONE.search(how)):
        return None
    found = []
    for text in _PRICED.findall(how):
        price = read_price(text)
        if price.kind == MONEY and price.amount and is_currency(price.currency):
            found.append(Money(price.amount, price.currency))
    return found[0] if len(found) == 1 else None


def grade_of(state: str, condition: str, against: str = "", *, passed: bool = False) -> str:
    """The grade of a tube of the register, by its state and the words of its condition.

    A weak tube or a dud is that, whatever its carton says; an unused one is told by its condition alone.
    ``against``: what its last tests say against it (``house.concerns.Doubt``): shorted makes a dud, any other such word
    a weak tube. ``passed``: they read above its minimum and found nothing: an untested one is a tested good one.
    """
    if state == DUD or SHORTED in against:
        return OF_STATE[DUD]
    if state == WEAK or against:
        return OF_STATE[WEAK]
    if not _UNUSED.search(condition):
        return OF_STATE["good" if passed else state]
    return "unused boxed" if _BOXED.search(condition) else "unused"
