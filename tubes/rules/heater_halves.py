"""Heaters with a middle: two halves of 6.3 V, in series 12.6 V, which a handbook of tests rates side by side."""

import re
from collections.abc import Iterable

_SIX_V, _PCT = 6.3, 6
_TWELVE = re.compile("12[A-Z]")  # a number that promises 12 V
#: Double tubes whose heater has a middle, though their numbers promise nothing (from memory). The pins alone do not
#: tell it: of a CCa or an EL183 the third "heater" pin is a screen, and 6.3 V stands across the other two.
_HALVES = frozenset(
    """
    5687 CK5687 5751 CK5751 5814 CK5814 5963 5965 6057 6060 6067 6072 6085 6158 G/6158 6189 6201 CK6201 6211 6350 6360
    6414 CK6414 6463 6679 6680 6681 6829 6900 6913 6955 7025 7044 7062 7119 7247 7316 7318 7489 7492 7728 7729 A2900
    B152 B309 B329 B339 CC81E CC82E CC86E E80CC E81CC E82CC E83CC E180CC E181CC E182CC ECC186 ECC801 ECC802 ECC803 ECC81
    ECC813 ECC82 ECC83 M8136 M8137 M8162 QA2406 QQE03-12
    """.split()
)


def halved(name: str, heater_v: float | None, pins: Iterable[tuple[str, str]]) -> bool:
    """Whether a heater tested at 6.3 V is in halves, side by side: three pins, and a number that is known to be so."""
    heater = {pin for pin, what in pins if what == "h"}
    six = heater_v is not None and abs(heater_v / _SIX_V - 1) <= _PCT / 100
    return six and len(heater) == 3 and (_TWELVE.match(name) is not None or name in _HALVES)
