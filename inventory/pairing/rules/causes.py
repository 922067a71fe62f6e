"""What can upset a neutralized unit or chassis, one row a cause. A new cause is a row of ``CAUSES``.

Which of them are accidents: common practice, no source.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause. ``key``: as it is kept. ``words``: as it is chosen; ``told``: as a reason names it, where that differs.

    ``accident``: it may have come after a neutralization of the same day, so without times it is not taken as before;
    work is. ``of_capacitor``: it concerns every partner of what holds the neutralizing capacitor.
    """

    key: str
    words: str
    told: str = ""
    accident: bool = True
    of_capacitor: bool = False


CAUSES = (
    Cause("repair", "repair", accident=False),
    Cause("knock", "knock or fall"),
    Cause("moved lead", "lead or shield moved"),
    Cause("capacitor touched", "neutralizing capacitor touched", of_capacitor=True),
    Cause("other", "other, see note", told="other"),
)
ACCIDENTS = frozenset(cause.key for cause in CAUSES if cause.accident)
OF_CAPACITOR = frozenset(cause.key for cause in CAUSES if cause.of_capacitor)
#: Causes as reasons name them.
TOLD = {cause.key: cause.told or cause.words for cause in CAUSES}


def cause_choices() -> list[tuple[str, str]]:
    """The causes as choices of a column."""
    return [(cause.key, cause.words) for cause in CAUSES]
