"""Whether a plan can start: what its lines together say."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.restoration.rules.words import (
    AFTER_TEST,
    AWAITED,
    CAN_START,
    COVERS,
    DOUBTFUL,
    LEFT_ALONE,
    NOT_HERE,
    NOT_RECORDED,
    NOT_SAID,
    NOT_YET,
    ON_WORD,
    SETTLE_BEFORE_POWER,
    SETTLE_FIRST,
    STOOD_IN,
    STOPS,
    TO_DO,
    TO_JUDGE,
    WAITING,
    WITH_SUBSTITUTES,
)


@dataclass(frozen=True)
class Count:
    """The lines of a plan by how they stand. ``before_power``: pieces of work that must be done first.

    ``instead``: those covered by another type, on the shelf or in place; ``on_word``: those whose tube reads good and
    is called untested still; ``not_recorded``: what nobody recorded of the sets; ``not_here``: sets that are
    lent out, left or were not found; ``to_judge``: checks at which what was
    found last is not judged, which are none of the lines; ``not_said``: parts, tools and books of which nobody said
    that they are here; ``awaited``: such as are to come; ``to_do``: what may be done once power is on;
    ``stood_in``: positions in which a stand-in sits.
    """

    lines: int
    covered: int
    short: int
    after_test: int
    instead: int
    doubtful: int
    settle: int
    before_power: int
    on_word: int = 0
    not_recorded: int = 0
    to_judge: int = 0
    not_here: int = 0
    not_said: int = 0
    awaited: int = 0
    to_do: int = 0
    stood_in: int = 0

    @property
    def _stopped(self) -> bool:
        """Whether more than tests and the keeper's word stands in the way."""
        missing = self.short or self.not_recorded or self.not_here or self.not_said or self.awaited
        return bool(missing or self.settle or self.before_power or not self.lines)

    @property
    def answer(self) -> str:
        """Can start, can start with substitutes, or not yet: untested stock and open hazards do not count as ready.

        Nor does a set of which nothing is recorded.
        """
        if self._stopped or self.after_test or self.on_word:
            return NOT_YET
        return WITH_SUBSTITUTES if self.instead or self.stood_in else CAN_START

    @property
    def can_start(self) -> bool:
        return self.answer != NOT_YET

    @property
    def _then(self) -> str:
        """What the tests decide, where nothing else stands in the way."""
        if self._stopped or self.on_word:
            return ""
        which = "it proves" if self.after_test == 1 else "they prove"
        return f" (where {which} good it {WITH_SUBSTITUTES if self.instead or self.stood_in else CAN_START})"

    @property
    def text(self) -> str:
        """The answer with what stands in the way, in one sentence."""
        ways = [
            f"{self.not_here} set{'s' * (self.not_here != 1)} not here" if self.not_here else "",
            f"{self.short} {'line is' if self.short == 1 else 'lines are'} short" if self.short else "",
            f"{self.after_test} to be tested first{self._then}" if self.after_test else "",
            f"{self.on_word} read good and wait{'s' * (self.on_word == 1)} for your word" if self.on_word else "",
            f"{self.not_recorded} not recorded" if self.not_recorded else "",
            f"{self.not_said} not known to be here" if self.not_said else "",
            f"{self.awaited} waited for" if self.awaited else "",
            f"{self.settle} hazard{'s' * (self.settle != 1)} to be settled" if self.settle else "",
            f"{self.before_power} to be done before power" if self.before_power else "",
        ]
        there = [
            f"{self.covered} of {self.lines} covered" if self.lines else "nothing is recorded that it asks for",
            f"{self.instead} by a substitute or relative" if self.instead else "",
            f"{self.stood_in} by a stand-in that sits there" if self.stood_in else "",
            f"{self.doubtful} in place to be looked at" if self.doubtful else "",
            f"{self.to_do} to do" if self.to_do else "",
            f"{self.to_judge} found at a check and not judged" if self.to_judge else "",
        ]
        told = ", ".join(way for way in (*ways, *there) if way)
        return f"{self.answer[0].upper()}{self.answer[1:]}: {told}."


def count_of(lines: Sequence[tuple[str, bool, bool]]) -> Count:
    """Lines as (status, whether it must be done before power, whether another type stands in) counted."""
    number = Counter(status for status, *_ in lines)
    return Count(
        lines=len(lines) - number[TO_JUDGE] - number[LEFT_ALONE],
        covered=sum(number[status] for status in COVERS),
        short=sum(number[status] for status in STOPS),
        after_test=number[AFTER_TEST],
        instead=sum(1 for status, _, instead in lines if instead and status in COVERS),
        doubtful=number[DOUBTFUL],
        settle=number[SETTLE_FIRST],
        before_power=sum(1 for status, first, _ in lines if first and status in (TO_DO, WAITING, SETTLE_BEFORE_POWER)),
        on_word=number[ON_WORD],
        not_recorded=number[NOT_RECORDED],
        to_judge=number[TO_JUDGE],
        not_here=number[NOT_HERE],
        not_said=number[NOT_SAID],
        awaited=number[AWAITED],
        stood_in=number[STOOD_IN],
        to_do=sum(1 for status, first, _ in lines if not first and status in (TO_DO, WAITING)),
    )
