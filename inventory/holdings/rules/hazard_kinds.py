"""Every hazard that is known here, one row each: its mark, the usual care, whom to ask, and the words that name it.

A new hazard is a row of ``HAZARDS``. Local codes and licensed practice come first. Care, cautions and words: common
practice, no source, but for what ``source`` of a row names; PCB trade names: EPA list of PCB names (from memory). The
published signs of ISO 7010 and pictograms of GHS are named in words, from memory; ``letters`` are marks of our own.
"""

import re
from dataclasses import dataclass

_LAW = "local codes and licensed practice come first"
OTHER = "other"
#: Of a relay or connector to be mounted on one it is a printed circuit board.
_BOARD = r"mount\w*|edge|boards?|pins?|headers?|sockets?|connectors?|terminals?|trimmers?|relays?|switch\w*"
_PCB = rf"\bpcbs?\b(?![- ](?:{_BOARD})(?![a-z])(?![^.;|]{{0,20}}\b(?:oil|weep|leak)))"


@dataclass(frozen=True, slots=True)
class HazardKind:
    """A hazard. ``mark``: as it is marked on a thing; empty: it is told on labels only.

    ``name``: as lists and labels of cautions call it. ``care``: what is usual with it, beside its mark. ``listed``: the
    pattern of words in a list that propose it, with ``caution``, the words beside the proposal. ``told``: the pattern
    of words in a caution that name it beside those. ``letters``: its mark in the register, one to five signs. ``ask``:
    whom to ask, and where it goes when it is parted with. ``source``: the texts behind care and rules.
    ``sign``: published signs.
    """

    mark: str
    name: str = ""
    care: str = ""
    listed: str = ""
    caution: str = ""
    told: str = ""
    letters: str = ""
    ask: str = ""
    source: str = "common practice, no source"
    sign: str = ""

    @property
    def words(self) -> str:
        """What it is called where it is told by itself: its mark, or the name where that says nothing."""
        return self.name if self.mark == OTHER and self.name else self.mark or self.name

    @property
    def substance(self) -> bool:
        """Whether it is a substance, which a thing can be without; a voltage or a weight is none."""
        return bool(self.listed)

    @property
    def usual(self) -> str:
        """What is usual with it."""
        return self.care or self.caution

    @property
    def to_do(self) -> str:
        """What is usual with it and whom to ask, in a paragraph."""
        return f"{self.usual} Whom to ask: {self.ask}" if self.ask else self.usual

    @property
    def short(self) -> str:
        """Its word on a label."""
        return self.name if self.mark in ("", OTHER) else self.mark


HAZARDS = (
    HazardKind(
        "high voltage",
        letters="HV", source="electrotechnik.net, October 2009; DOE-HDBK-1092", sign="ISO 7010 W012",
        ask="somebody who works on transmitters for a living, or an elder of a radio club; the local electrical code.",
        care="Supply off, discharged and proved dead before a hand goes in; never alone at a live set.",
        told=r"\bhigh[- ]voltage|\babout [0-9]{2,5} V\b|\b(?:[0-9]{1,2}[, ][0-9]{3}|[0-9]{4,5}) V\b|\b[0-9.,]+ kV\b",
    ),
    HazardKind(
        "stored charge",
        letters="Q", source="DOE-HDBK-1092, 10.10.1; electrotechnik.net, October 2009 (50 V in 5 min)",
        sign="ISO 7010 W012",
        ask="somebody who works on transmitters for a living; the local electrical code.",
        care="Capacitors keep their charge: discharge through a resistor, prove dead, short while working.",
        told=r"\bstored charge|(?<!space )(?<!space-)(?<!free of )\bcharged?\b(?![- ](?:grid|for|number))",
    ),
    HazardKind(
        "mercury", "mercury",
        letters="Hg", source="EPA, what to do if you spill mercury (epa.gov/mercury)", sign="GHS06, GHS08, GHS09",
        ask="of a spill the health or environment authority (in the U.S. one of a pound or more must be reported);"
        " when parting with one, licensed disposal for mercury.",
        care="Keep upright, carry in a box. If it breaks: people out, air in, no broom, no vacuum cleaner, nothing down"
        " a drain.",
        listed=r"\bmercury\w*|quecksilber\w*|\bmercure|\bkwik|\bmercurio\b|"
        r"(?<![0-9] in )(?<![0-9]in )(?<![0-9] in\. )(?<![0-9] inch )(?<![0-9] inches )(?<!mm )\bhg\b",
        caution=f"Keep upright and whole; a broken one is left to people equipped for it; {_LAW}.",
    ),
    HazardKind(
        "radium", "radium",
        letters="Ra",
        source="R-390 list, June 2018; NRC rule on radium instruments (generalaviationnews.com, 6 July 2007)",
        sign="ISO 7010 W003",
        ask="the radiation protection authority of the country or state, before it is sold, sent or thrown away.",
        care="Luminous paint: do not open, scrape or sand; keep closed and apart; wash hands.",
        listed=r"radium\w*|\bra[- ]?226\b|luminous (?:paint|dials?|hands|needle|figures|numerals|markings)|"
        r"\blumed\b|radiolite|leuchtfarbe|leuchtziffer\w*|"
        r"glow[- ]in[- ]the[- ]dark dials?|"
        r"\bglows (?:\w+ )?in (?:the )?dark",
        caution=f"Do not open, scrape or clean the paint; keep it apart and labelled; {_LAW}.",
    ),
    HazardKind(
        "beryllia", "beryllia",
        letters="BeO", source="OSHA, 0.2 ug/m3 over 8 h since 2017 (sentryair.com)", sign="GHS06, GHS08",
        ask="of a broken one occupational health; when parting with one, licensed disposal.",
        care="White ceramic of power tubes may be beryllium oxide: never grind, file, break or blast it.",
        listed=r"beryllia|beryllium(?![- ](?:copper|bronze))\w*|berylliumoxid\w*|\bbeo\b",
        caution=f"Never break, file or grind it; the dust is poisonous; {_LAW}.",
    ),
    HazardKind(
        "PCB oil", "PCB",
        letters="PCB", source="40 CFR 761.2(a)(4)", sign="GHS08, GHS09",
        ask="the environment authority; licensed disposal only, never household waste or scrap.",
        care="Oil capacitors and transformers made before 2 July 1979, or of unknown date, may hold PCB: "
        "never open one; gloves and a tray where one leaks.",
        listed=rf"{_PCB}|askarel|aroclor|pyranol|dykanol|inerteen|chlophen|clophen|chlorextol|pyralene|"
        r"chlordiphenyl|chlorinated diphenyl",
        caution=f"Do not open; gloves if it weeps; it must not go to household waste; {_LAW}.",
    ),
    HazardKind(
        "asbestos", "asbestos",
        letters="Asb", source="bvws.org.uk/405alive/tech/safety.html; HSE, OSHA, EPA from memory", sign="GHS08",
        ask="a licensed firm for asbestos; the health and safety authority.",
        care="Do not cut, brush or blow on heat shields and cords; leave in place and ask a licensed firm.",
        listed=r"asbest\w*|amiante",
        caution=f"Do not cut, brush or blow; leave removal to people equipped for it; {_LAW}.",
    ),
    HazardKind(
        "selenium", "selenium",
        letters="Se", source="yarchive.net; Boatanchors list, June 2002", sign="GHS06, GHS08",
        ask="licensed disposal for electronic scrap. What a burning one gives off is disputed: hydrogen selenide"
        " (NIOSH) or selenium dioxide (B. Ornitz).",
        care="A selenium rectifier that burns gives off poisonous smoke: air the room, do not run it to find out.",
        listed=r"selenium|\bselen\b|selen-?gleichrichter\w*|sélénium|seleen",
        caution=f"A burnt plate gives poisonous fumes: air the room and go out; {_LAW}.",
    ),
    HazardKind(
        "X-rays",
        letters="X", sign="ISO 7010 W003",
        source="Amps list, March 2001: negligible below about 10 kV, measure above 10 to 15 kV; ECA TEP 173 (1970)",
        ask="somebody with a survey meter who may measure it; the radiation protection authority.",
        care="Above about 10 kV tubes can give X-rays: shields on, distance, measured by somebody who may.",
        told=r"\bx-?rays?\b",
    ),
    HazardKind(
        "implosion",
        letters="Glass", source="bvws.org.uk/405alive/tech/safety.html; details from memory",
        ask="licensed disposal for glass that is to go; it is never broken up.",
        care="Large bulbs are under vacuum: goggles, gloves, never lift by the neck.",
        told=r"\bimplo\w+",
    ),
    HazardKind(
        "weight",
        letters="kg", source="NIOSH 94-110, revised 2021",
        ask="a second pair of hands; local rules for lifting.",
        care="Two people or a hoist; empty racks and drawers first; mind the fingers.",
        told=r"\btwo people\b|\bweight\b|"
        r"\bheavy\b(?![- ](?:filament|heater|current|duty|load|gauge|wire|plate|rust|wear))",
    ),
    HazardKind(  # radium is a row of its own; "TR switch" may be a relay, so it is not among the words
        "radioactive", "radioactive", letters="Rad", sign="ISO 7010 W003",
        source="isotopes of TR and gap tubes: carlwillis.wordpress.com/tag/radioactive; NRC and state rules",
        ask="the radiation protection authority of the country or state, before it is sold, sent or thrown away.",
        care="TR, gap and primed tubes may hold H-3, Ni-63, Kr-85, Co-60, Cs-137, Ra-226 or Th-232: keep whole, never"
        " open or break; apart and labelled.",
        listed=r"radio-?acti\w+|radio-?aktiv\w*|\bthorium\b|\buranium\b|\btritium\b|"
        r"(?<!box )(?<!bin )(?<!drawer )(?<!shelf )(?<!rack )(?<!cabinet )\bh-3\b|"  # as well a place
        r"\b(?:co(?:balt)?[- ]?60|ni(?:ckel)?[- ]?63|kr(?:ypton)?[- ]?85|c(?:a?esium|s)[- ]?137|th[- ]?232)\b|"
        r"\ba?t[-/]?r (?:tube|cell)s?\b|\bgap tubes?\b|\bprimed tubes?\b|\bkeep-?alive (?:tube|cell|electrode)s?\b",
        caution=f"Keep it whole, apart and labelled; {_LAW}.",
    ),
    HazardKind(
        "RF burns", letters="RF", sign="ISO 7010 W005",
        source="47 CFR 1.1310 (FCC OET 65); ICNIRP and IEEE C95.1 are the other names",
        ask="the licensing authority for limits of fields.",
        care="Aerial and tank burn deep while the carrier is on: no hand near them, a dummy load for tests.",
        told=r"\bRF\b",
    ),
    HazardKind(OTHER, letters="!", care="See the reason.", ask="whoever knows such things; local authorities."),
)  # fmt: skip

#: Marks that a thing can have, in the order in which they are offered.
MARKS = tuple(dict.fromkeys(kind.mark for kind in HAZARDS if kind.mark))
#: What is usual with each mark.
CARE = {kind.mark: kind.care for kind in HAZARDS if kind.care and kind.mark}
#: (hazard, pattern) of what lists name.
LISTED = tuple((kind, re.compile(f"(?:{kind.listed})", re.IGNORECASE)) for kind in HAZARDS if kind.listed)
#: (hazard, pattern) of what cautions and reasons name: all that lists name, and more.
TOLD = tuple(
    (kind, re.compile("|".join(f"(?:{words})" for words in (kind.listed, kind.told) if words), re.IGNORECASE))
    for kind in HAZARDS if kind.listed or kind.told
)  # fmt: skip
PCB = next(kind for kind in HAZARDS if kind.name == "PCB")


#: By its words, and by its mark.
BY_WORDS = {kind.words: kind for kind in HAZARDS} | {kind.mark: kind for kind in HAZARDS if kind.mark}


def mark_choices() -> list[tuple[str, str]]:
    """The marks as choices of a column."""
    return [(mark, mark) for mark in MARKS]
