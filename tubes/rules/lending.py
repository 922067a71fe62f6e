"""What a type without figures of its own takes from the type that a row relates it to: 6073, ruggedized, of the 0A2.

Only along ``ruggedized`` and ``variant``: what is only near differs in more than its row says. The words of a row tell
what differs, and a figure that they speak of is not taken; a variant of which nothing is said lends nothing. So a new
row suffices, whatever the letters of a name.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

_HEATER = frozenset({"heater_v", "heater_a", "alt_heater_v", "alt_heater_a"})
_PLUG = frozenset({"base", "basing"})
_POWER = frozenset({"plate_v_max", "plate_w_max", "screen_v_max", "screen_w_max", "plate_ma_typ"})
_GAIN = frozenset({"mu", "gm_umho", "gc_umho", "rp_ohm"})
#: Words of a row, and the figures that they speak of. A base of other material (low-loss) is the same base.
_SPOKEN: tuple[tuple[re.Pattern[str], frozenset[str]], ...] = tuple(
    (re.compile(words, re.IGNORECASE), figures)
    for words, figures in (
        (r"\b(?:heater|filament)s?\b", _HEATER),
        (
            r"(?<!low-loss )(?<!ceramic )(?<!red-)\bbase\b|"
            r"\b(?:loctal|octal|miniature|package|pins?|basing|socket|flying leads)\b",
            _PLUG,
        ),
        (r"\b(?:top cap|caps?)\b", frozenset({"cap"})),
        (r"\b(?:dissipation|rat(?:ed|ings?)|watts?|plate|output|power)\b", _POWER),
        (r"\b(?:mu|gain|amplification|transconductance|slope)\b", _GAIN),
    )
)


_HIGHER = re.compile(r"\bhigher (?:plate )?ratings?\b")


@dataclass(frozen=True, slots=True)
class Lender:
    """A type that another takes what it lacks from: the relation of the other to it, and the row's words."""

    type: str
    relation: str
    note: str

    @property
    def withheld(self) -> frozenset[str]:
        """Figures that the row's words speak of: they may be others. Ratings that are only higher cover the lower."""
        spoken = frozenset[str]().union(*(figures for words, figures in _SPOKEN if words.search(self.note)))
        return spoken - _POWER if _HIGHER.search(self.note) else spoken

    @property
    def words(self) -> str:
        return f"{self.relation}: {self.note}" if self.note else self.relation


Lenders = Mapping[str, tuple[Lender, ...]]
