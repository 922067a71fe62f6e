"""What kind of thing a row is, from a kind column, the words and the number; unclear is `other`, with a remark.

Meanings of the set component indicators (BC, TU, DM ...): U.S. Army Signal Corps component lists, from memory. The
rest common practice, no source.
"""

import re

from inventory.holdings.rules.cells import Remark, shown
from inventory.holdings.rules.part_text import kind_named
from inventory.lists.rules import fields as f
from tubes.rules.stamp import StampAnswer

_SAID = "correct the kind if it is not"
#: In this order: a tuning unit's calibration book is a companion, a transmitter's tuning unit a unit.
_WORDS = tuple(
    (kind, re.compile(rf"\b(?:{words})", re.IGNORECASE))
    for kind, words in (
        (f.COMPANIONS, r"calibration (?:book|chart)|cal\.? book|eichbuch|eichkurve|calibration curve|chart book|"
                       r"carnet d'étalonnage|ijkboek"),
        (f.UNITS, r"tuning unit|tuner unit|plug-?in|coil (?:set|box|drawer|unit|pack)|spulen(?:satz|kasten|"
                  r"einsatz)|einschub|"
                  r"steckspule\w*|tank unit|rf unit|bloc d'accord|tiroir|spoelset"),
        (f.PARTS, r"capacitors?|condensers?|caps?\b|resistors?|pots?\b|potentiometer|chokes?|transformers?|"
                  r"xfmrs?|relays?|sockets?|crystals?|"
                  r"xtals?|meters?\b|knobs?|switch(?:es)?|fuses?|cables?|dynamotors?|vibrators?|lamps?\b|pilot "
                  r"lights?|connectors?|plugs?\b|"
                  r"rectifier stack|selenium|mica|oil cap|kondensator\w*|widerst\w+|drosseln?|übertrager|"
                  r"trafos?|relais|fassung\w*|quarze?|"
                  r"sicherung\w*|umformer|kabel|stecker|schalter|gleichrichter|knöpfe|knopf|condensateurs?|"
                  r"résistances?|quartz|"
                  r"weerstand\w*|bearings?|brushes|dial cord|insulators?|headphones?|key\b|handsets?|antennas?|"
                  r"mounting"),
        (f.TUBES, r"(?:electron )?tubes?\b|valves?\b|röhren?\b|lampes?\b|buis\b|buizen\b|klystron|magnetron|"
                  r"thyratron"),
        (f.CHASSIS, r"receivers?|transmitters?|xmtrs?|rcvrs?|transceivers?|rx\b|tx\b|empfänger|sender\b|"
                    r"récepteurs?|émetteurs?|ontvangers?|zender|"
                    r"frequency meter|wavemeter|wellenmesser|frequenzmesser|power (?:unit|supply)|netzteil|"
                    r"amplifier|signal generator|chassis\b"),
    )
)  # fmt: skip
_KIND_WORDS = {
    **dict.fromkeys("tube tubes valve valves röhre röhren lampe lampes buis buizen".split(), f.TUBES),
    **dict.fromkeys(
        "part parts teil teile bauteil bauteile pièce pièces onderdeel crystal crystals quarz".split(), f.PARTS
    ),
    **dict.fromkeys("chassis set sets receiver transmitter equipment gerät geräte appareil toestel".split(), f.CHASSIS),
    **dict.fromkeys(("unit", "units", "plug-in unit", "plug-in", "tuning unit", "coil set", "einschub"), f.UNITS),
    **dict.fromkeys(("companion", "companions", "book", "calibration book", "chart", "buch"), f.COMPANIONS),
    **dict.fromkeys("other misc sonstiges divers overig".split(), f.OTHERS),
}
_INDICATORS = {
    "BC": f.CHASSIS,
    "TU": f.UNITS,
    "DM": f.PARTS,
    "PE": f.PARTS,
    "MC": f.PARTS,
    "FT": f.PARTS,
    "CD": f.PARTS,
    "PL": f.PARTS,
}
_INDICATED = re.compile(r"(?P<letters>BC|TU|DM|PE|MC|FT|CD|PL)-[0-9]{1,4}(?:-[A-Z]{1,2})?(?![0-9A-Z])")


def kind_of_word(word: str) -> str | None:
    """The kind that the cell of a kind column names."""
    return _KIND_WORDS.get(" ".join(word.casefold().split()))


def sort_of_part(word: str) -> str:
    """The cell of a kind column where it says what a part is: paper capacitor, crystal; empty where it says part."""
    word = " ".join(word.split())
    return word if kind_of_word(word) is None or kind_named(word) else ""


def propose_kind(
    what: str, stamp: StampAnswer | None, *, tube_column: bool, serial: str, notes: str = ""
) -> tuple[str, Remark | None]:
    """(kind, remark) from the text that names the thing, its stamp reading, its serial and the notes beside it.

    `tube_column` says that the keeper's list has a column of tubes, from which `what` comes.
    """
    typed = stamp is not None and any(reading.type for reading in stamp.readings)
    by_word = _by_words(what)
    if typed and stamp and _leads(what, stamp) and (tube_column or not stamp.leftover):
        plain = tube_column and by_word in (None, f.TUBES)
        return f.TUBES, None if plain else _proposed(f.TUBES, f"the number at the head of {shown(what)}")
    if by_word:
        return by_word, None if tube_column and by_word == f.TUBES else _proposed(
            by_word, f"the words of {shown(what)}"
        )
    if found := _INDICATED.match(what.upper()):
        kind = _INDICATORS[found["letters"]]
        return kind, _proposed(kind, f"the letters {found['letters']}")
    if tube_column and any(char.isdigit() for char in what):
        return f.TUBES, None
    if serial:
        return f.CHASSIS, _proposed(f.CHASSIS, "a serial")
    if by_note := _by_words(notes):
        return by_note, _proposed(by_note, "the words of the notes")
    return f.OTHERS, Remark(f"what kind of thing {shown(what)} is, is not clear", "give the kind")


def _leads(what: str, stamp: StampAnswer) -> bool:
    """True where the number stands first: `807 with socket` is a tube, `socket for 807` is none."""
    left = stamp.leftover.split()
    return not left or not what.strip().casefold().startswith(left[0].casefold()) or _by_words(what) in (None, f.TUBES)


def _by_words(text: str) -> str | None:
    return next((kind for kind, pattern in _WORDS if pattern.search(text[:500])), None)


def _proposed(kind: str, why: str) -> Remark:
    return Remark(f"taken for {kind} by {why}", _SAID)
