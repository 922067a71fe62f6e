"""How lines of a plan are told: grouped by what is to be done."""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.restoration.queries.lines import Line
from inventory.restoration.rules.words import (
    AFTER_TEST,
    BY_RELATIVE,
    BY_SUBSTITUTE,
    COVERED,
    DONE,
    DOUBTFUL,
    ELSEWHERE,
    IN_PLACE,
    SETTLE_BEFORE_POWER,
    SETTLE_FIRST,
    SHORT,
    TO_DO,
    WAITING,
)

_GROUPS = (
    ("Settle first", "Hazards that nobody has looked for yet.", (SETTLE_FIRST,)),
    ("Settle before power", "Checks of the start sheet that failed.", (SETTLE_BEFORE_POWER,)),
    ("Look for or order", "Nothing here covers these.", (SHORT,)),
    ("Decide", "There is one, and a more urgent plan counts on it; or another type would have to do.",
     (ELSEWHERE, BY_RELATIVE, BY_SUBSTITUTE)),
    ("Test", "Untested stock, and tubes in place that nobody vouches for.", (AFTER_TEST, DOUBTFUL)),
    ("Fit", "On the shelf and good.", (COVERED,)),
    ("Do", "Pieces of work, tools and books.", (TO_DO, WAITING)),
    ("In place", "Nothing to be done.", (IN_PLACE, DONE)),
)  # fmt: skip


@dataclass(frozen=True)
class Group:
    """Lines that ask for the same sort of thing."""

    title: str
    words: str
    lines: tuple[Line, ...]

    @property
    def settled(self) -> bool:
        """Whether nothing is to be done about any of them."""
        return all(line.status in (IN_PLACE, DONE) for line in self.lines)


def grouped(lines: Sequence[Line]) -> list[Group]:
    """The lines by what is to be done, what stands in the way first; empty groups are left out."""
    told = [
        Group(title, words, tuple(line for line in lines if line.status in statuses))
        for title, words, statuses in _GROUPS
    ]
    return [group for group in told if group.lines]
