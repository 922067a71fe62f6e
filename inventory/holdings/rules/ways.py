"""How things come into a collection and how they leave it, as the words that keepers write say it.

The ways are those that the Collections Trust's Spectrum asks to be told apart (Acquisition and accessioning;
Deaccessioning and disposal; Loans in), laws.md section 10; the words for them are common practice, no source.
"""

import re
from collections.abc import Iterator

from inventory.holdings.rules.mistakes import never_was

BOUGHT, GIVEN, EXCHANGED, FOUND_WITH, BUILT, ON_LOAN = (
    "bought", "given", "exchanged", "found with another thing", "built here", "on loan, not owned",
)  # fmt: skip
SOLD, GIVEN_AWAY, SWAPPED, SCRAPPED, LOST, GIVEN_BACK, NEVER_HERE = (
    "sold", "given away", "exchanged", "scrapped", "lost", "given back to its owner", "never here",
)  # fmt: skip

_IN = (
    (ON_LOAN, r"on loan|loaned|borrowed|lent (?:to us|by)|leihgabe|geliehen|prêté|en prêt|bruikleen|in prestito"),
    (BUILT, r"built|home[- ]?brew|self[- ]made|made here|selbst ?(?:bau|gebaut)|eigenbau|zelfbouw|construit"),
    (EXCHANGED, r"exchang\w*|swap\w*|trade[ds]?|traded|getauscht|tausch|échang\w*|geruild|ruil|scambio"),
    (GIVEN, r"gift|given|donat\w*|bequ\w*|inherit\w*|legacy|geschenk\w*|spende|geerbt|erbe|don|offert|gekregen|regalo"),
    (FOUND_WITH, r"found|pulled|pull|out of|came with|came in|salvaged|stripped from|ausgebaut|fund|gefunden|trouvé|"
                 r"gesloopt|trovat\w*"),
    (BOUGHT, r"bought|purchas\w*|auction|paid|order\w*|hamfest|sale|gekauft|kauf|ersteigert|acheté|achat|gekocht|"
             r"acquist\w*|comprad\w*"),
)  # fmt: skip
_OUT = (
    (NEVER_HERE, r"never (?:there|here)|entered by mistake"),
    (GIVEN_BACK, r"given back|returned to|back to (?:its|the) owner"),
    (SOLD, r"sold|sale|auction\w*|verkauft|vendu|verkocht|vendut\w*|vendid\w*"),
    (SWAPPED, r"exchang\w*|swap\w*|trade[ds]?|getauscht|échang\w*|geruild"),
    (SCRAPPED, r"scrap\w*|broken up|thrown|binned|dump\w*|destroy\w*|recycl\w*|smashed|verschrottet|entsorgt|jet[ée]"),
    (LOST, r"lost|stolen|theft|fire|flood|missing|verloren|gestohlen|perdu|volé"),
    (GIVEN_AWAY, r"given|gave|gift|donat\w*|transfer\w*|verschenkt|donné|weggegeven"),
)  # fmt: skip
_NOT = re.compile(r"\b(?:not|never|no|nicht|kein|pas|niet)\W+$", re.IGNORECASE)


def _read(text: str, ways: tuple[tuple[str, str], ...]) -> str:
    found = sorted((at, order, way) for order, (way, words) in enumerate(ways) for at in _at(text, words))
    return found[0][2] if found else ""


def _at(text: str, words: str) -> Iterator[int]:
    """Where the first word of a way stands that is not denied."""
    for match in re.finditer(rf"(?<!\w)(?:{words})(?!\w)", text, re.IGNORECASE):
        if not _NOT.search(text[: match.start()]):
            yield match.start()
            return


def way_in(text: str) -> str:
    """How a thing came, as one of the ways above; "" where the words say none. The first word that says one counts."""
    return _read(text, _IN)


def way_out(text: str) -> str:
    """How a thing left, likewise."""
    return _read(text, _OUT)


def told_openly(how: str) -> str:
    """How a thing left, for those who see no money: the words that kept how may name what it was sold for.

    What was entered by mistake is told as it is, all else by its way and no more; "" where the words say none.
    """
    return how if never_was(how) else way_out(how)


def beside_words(way: str, words: str) -> str:
    """The way that words read as, where they do not say it themselves."""
    return "" if way in words.lower() else way
