"""How parts are made, as far as that decides where they may be used. A new construction is a row.

What is said of each is common practice, no source, but where a text is named.
"""

import re
from dataclasses import dataclass
from functools import cache, lru_cache

LEAKY = "old paper leaks more often than not: test its insulation at the working voltage first"
DRIED = (
    "an old electrolytic dries out: bring it up slowly with the current limited, and measure leakage and value first"
)
POLARITY = "it has a plus and a minus, and bursts when they are turned round"
OIL = "oil-filled: made before July 1979 or of no known date it may hold PCB oil (40 CFR 761.2), so never open it"


@dataclass(frozen=True, slots=True)
class Construction:
    """A construction of one kind of part. ``words``: as it is written; ``cares``: what goes for any such part."""

    key: str
    kind: str
    words: tuple[str, ...] = ()
    polarized: bool = False
    cares: tuple[str, ...] = ()


CONSTRUCTIONS = (
    Construction("silvered mica", "capacitor", ("silver mica", "silver-mica")),
    Construction("mica", "capacitor", ("glimmer",)),
    Construction("NP0 ceramic", "capacitor", ("NP0", "NPO", "C0G", "COG", "ceramic NP0", "ceramic NPO")),
    Construction("ceramic", "capacitor", ("disc ceramic", "disk ceramic", "disc", "disk", "keramik")),
    Construction("air", "capacitor", ("air dielectric", "air-spaced", "air spaced", "air variable")),
    Construction("vacuum", "capacitor"),
    Construction("glass", "capacitor"),
    Construction("polystyrene", "capacitor", ("styrene",)),
    Construction("polypropylene", "capacitor", ("MKP",)),
    Construction("polyester", "capacitor", ("film", "mylar", "MKT", "PET film")),
    Construction(
        "paper in oil", "capacitor", ("oil", "oil-filled", "oil filled", "oil paper", "öl", "oel"), cares=(LEAKY, OIL),
    ),
    Construction(
        "paper", "capacitor",
        ("waxed paper", "wax paper", "moulded paper", "molded paper", "metallized paper", "papier"),
        cares=(LEAKY,),
    ),
    Construction(
        "electrolytic", "capacitor", ("electrolytics", "lytic", "elko", "elkos", "elektrolyt"),
        polarized=True, cares=(POLARITY, DRIED),
    ),
    Construction("tantalum", "capacitor", polarized=True, cares=(POLARITY,)),
    Construction("carbon composition", "resistor", ("composition", "carbon comp")),
    Construction("carbon film", "resistor"),
    Construction("carbon", "resistor"),
    Construction("metal film", "resistor"),
    Construction("metal oxide", "resistor"),
    Construction("wire-wound", "resistor", ("wirewound", "wire wound", "WW")),
)  # fmt: skip
BY_KEY = {row.key: row for row in CONSTRUCTIONS}


@cache
def _names(kind: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """What constructions of a kind are called, the longest name first."""
    rows = [(word, row.key) for row in CONSTRUCTIONS if row.kind == kind for word in (row.key, *row.words)]
    rows.sort(key=lambda row: -len(row[0]))
    return tuple((re.compile(rf"(?<!\w){re.escape(word)}(?!\w)", re.IGNORECASE), key) for word, key in rows)


def construction_in(kind: str, text: str) -> tuple[Construction | None, str]:
    """The construction that a text names, and the text without it; None where it names none."""
    for pattern, key in _names(kind):
        if match := pattern.search(text):
            return BY_KEY[key], text[: match.start()] + " " + text[match.end() :]
    return None, text


@lru_cache(maxsize=4096)  # asked for every lot, and few are called differently
def construction_of(kind: str, text: str) -> Construction | None:
    """The construction that the words on a part name; None where none is known by them."""
    return construction_in(kind, text)[0]
