"""Every hazard that is known here, one row each: its mark, the usual care, and the words that name it.

A new hazard is a row of ``HAZARDS``. Local codes and licensed practice come first. Care, cautions and words: common
practice, no source; PCB trade names: EPA list of PCB names (from memory).
"""

import re
from dataclasses import dataclass

_LAW = "local codes and licensed practice come first"
OTHER = "other"


@dataclass(frozen=True, slots=True)
class HazardKind:
    """A hazard. ``mark``: as it is marked on a thing; empty: it is told on labels only.

    ``name``: as lists and labels of cautions call it. ``care``: what is usual with it, beside its mark. ``listed``: the
    pattern of words in a list that propose it, with ``caution``, the words beside the proposal. ``told``: the pattern
    of words in a caution that name it.
    """

    mark: str
    name: str = ""
    care: str = ""
    listed: str = ""
    caution: str = ""
    told: str = ""

    @property
    def words(self) -> str:
        """What it is called where it is told by itself: its mark, or the name where that says nothing."""
        return self.name if self.mark == OTHER and self.name else self.mark or self.name

    @property
    def usual(self) -> str:
        """What is usual with it."""
        return self.care or self.caution

    @property
    def short(self) -> str:
        """Its word on a label."""
        return self.name if self.mark in ("", OTHER) else self.mark


HAZARDS = (
    HazardKind(
        "high voltage",
        care="Supply off, discharged and proved dead before a hand goes in; never alone at a live set.",
        told=r"\bhigh[- ]voltage|\babout [0-9]{2,5} V\b|\b(?:[0-9]{1,2}[, ][0-9]{3}|[0-9]{4,5}) V\b|\b[0-9.,]+ kV\b",
    ),
    HazardKind(
        "stored charge",
        care="Capacitors keep their charge: discharge through a resistor, prove dead, short while working.",
        told=r"\bstored charge|\bcharged?\b",
    ),
    HazardKind(
        "mercury", "mercury",
        care="Keep upright, carry in a box. If it breaks: people out, air in, no sweeping, no vacuum cleaner.",
        listed=r"mercury|quecksilber\w*|mercure|kwik|\bhg\b",
        caution=f"Keep upright and whole; a broken one is left to people equipped for it; {_LAW}.",
        told=r"\bmercury",
    ),
    HazardKind(
        "radium", "radium",
        care="Luminous paint: do not open, scrape or sand; keep closed and apart; wash hands.",
        listed=r"radium\w*|ra[- ]?226|luminous (?:paint|dials?|hands|needle)|leuchtfarbe|leuchtziffer\w*|"
        r"glow[- ]in[- ]the[- ]dark dials?",
        caution=f"Do not open, scrape or clean the paint; keep it apart and labelled; {_LAW}.",
        told=r"\bradium",
    ),
    HazardKind(
        "beryllia", "beryllia",
        care="White ceramic of power tubes may be beryllium oxide: never grind, file, break or blast it.",
        listed=r"beryllia|beryllium\w*|berylliumoxid\w*|\bbeo\b",
        caution=f"Never break, file or grind it; the dust is poisonous; {_LAW}.",
        told=r"\bberylli\w+",
    ),
    HazardKind(
        "PCB oil", "PCB",
        care="Oil capacitors and transformers made before 1979 may hold PCB: gloves, a tray under leaks.",
        listed=r"\bpcbs?\b|askarel|aroclor|pyranol|dykanol|inerteen|chlophen|clophen|chlorextol|pyralene|"
        r"chlordiphenyl|chlorinated diphenyl",
        caution=f"Do not open; gloves if it weeps; it must not go to household waste; {_LAW}.",
        told=r"\bPCBs?\b",
    ),
    HazardKind(
        "asbestos", "asbestos",
        care="Do not cut, brush or blow on heat shields and cords; leave in place and ask a licensed firm.",
        listed=r"asbest\w*|amiante",
        caution=f"Do not cut, brush or blow; leave removal to people equipped for it; {_LAW}.",
        told=r"\basbestos",
    ),
    HazardKind(
        "selenium", "selenium",
        care="A selenium rectifier that burns gives off poisonous smoke: air the room, do not run it to find out.",
        listed=r"selenium|\bselen\b|selen-?gleichrichter\w*|sélénium|seleen",
        caution=f"A burnt plate gives poisonous fumes: air the room and go out; {_LAW}.",
        told=r"\bselenium",
    ),
    HazardKind(
        "X-rays",
        care="Above about 10 kV tubes can give X-rays: shields on, distance, measured by somebody who may.",
        told=r"\bx-?rays?\b",
    ),
    HazardKind(
        "implosion",
        care="Large bulbs are under vacuum: goggles, gloves, never lift by the neck.",
        told=r"\bimplo\w+",
    ),
    HazardKind(
        "weight",
        care="Two people or a hoist; empty racks and drawers first; mind the fingers.",
        told=r"\btwo people\b|\bheavy\b|\bweight\b",
    ),
    HazardKind(OTHER, care="See the reason."),
    HazardKind(  # what it is made radioactive with is not known: marked as another hazard, with the words as the reason
        OTHER, "radioactive",
        listed=r"radio-?acti\w+|radio-?aktiv\w*|\bthorium paint\b|\bco-?60\b|\bni-?63\b|\bkr-?85\b|\bcs-?137\b",
        caution=f"Keep it whole, apart and labelled; {_LAW}.",
        told=r"\bradio-?acti\w+",
    ),
    HazardKind(
        "", "RF burns",
        care="Aerial and tank burn deep while the carrier is on: no hand near them, a dummy load for tests.",
        told=r"\bRF\b",
    ),
)  # fmt: skip

#: Marks that a thing can have, in the order in which they are offered.
MARKS = tuple(dict.fromkeys(kind.mark for kind in HAZARDS if kind.mark))
#: What is usual with each mark.
CARE = {kind.mark: kind.care for kind in HAZARDS if kind.care and kind.mark}
#: (hazard, pattern) of what lists name.
LISTED = tuple((kind, re.compile(f"(?:{kind.listed})", re.IGNORECASE)) for kind in HAZARDS if kind.listed)
#: (hazard, pattern) of what cautions name.
TOLD = tuple((kind, re.compile(kind.told, re.IGNORECASE)) for kind in HAZARDS if kind.told)
PCB = next(kind for kind in HAZARDS if kind.name == "PCB")


def mark_choices() -> list[tuple[str, str]]:
    """The marks as choices of a column."""
    return [(mark, mark) for mark in MARKS]
