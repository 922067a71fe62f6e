"""What people say of a part that is known to be weak in a set model: where they differ, all of it stands.

Blanket replacement is disputed in the trade: of five moulded paper capacitors pulled from one receiver none was good
(milsurplus list, November 2019, 059626); of some forty other sets four needed new ones (boatanchors list, March 2022,
052270). So nothing is chosen between two words: what they differ on is looked at before power.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

ALWAYS, CHECK, LEAVE = "always fails", "check", "leave alone"
VERDICTS = (ALWAYS, CHECK, LEAVE)
MEANS = {
    ALWAYS: "it always fails: replace it before power",
    CHECK: "check it before power",
    LEAVE: "leave it alone",
}


@dataclass(frozen=True, slots=True)
class WeakWord:
    """What somebody says of a weak part, where it stands, and of which day the word is (None: not known)."""

    verdict: str
    source: str
    page: str = ""
    on: date | None = None
    words: str = ""

    @property
    def told(self) -> str:
        """The word with its evidence, in a sentence."""
        at = ", ".join(filter(None, (self.source, self.page, f"{self.on}" if self.on else "")))
        said = f": {self.words.rstrip('.')}" if self.words else ""
        return f"{self.verdict[0].upper()}{self.verdict[1:]}, says {at}{said}."


@dataclass(frozen=True, slots=True)
class WeakStanding:
    """All words on one weak part. ``acts_as``: how a plan takes it; of words that differ as one to be checked, and of
    a part on which nobody gave a word as one that always fails, since that is what it was entered as.
    """

    words: tuple[WeakWord, ...] = ()

    @property
    def verdicts(self) -> tuple[str, ...]:
        """The different verdicts, the gravest first."""
        given = {one.verdict for one in self.words}
        return tuple(one for one in VERDICTS if one in given)

    @property
    def differs(self) -> bool:
        return len(self.verdicts) > 1

    @property
    def acts_as(self) -> str:
        if self.differs:
            return CHECK
        return self.verdicts[0] if self.words else ALWAYS

    @property
    def differs_words(self) -> str:
        """That the words differ and what follows, in a sentence; empty where they do not."""
        if not self.differs:
            return ""
        several = ", ".join(
            f"{one} ({sum(word.verdict == one for word in self.words)})" for one in self.verdicts
        )  # fmt: skip
        return f"Words on it differ: {several}. None is chosen: look at it before power, and decide on this set."

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why a plan has it as it has, each a sentence: that they differ, then every word."""
        return tuple(filter(None, (self.differs_words, *(word.told for word in self.words))))

    def as_dict(self) -> dict[str, object]:
        return {
            "verdict": self.acts_as if self.words else None, "differs": self.differs,
            "words": [
                {
                    "verdict": one.verdict, "source": one.source, "page": one.page,
                    "on": one.on.isoformat() if one.on else None, "words": one.words,
                }
                for one in self.words
            ],
        }  # fmt: skip


def standing_of_words(words: Sequence[WeakWord]) -> WeakStanding:
    """All words on a part, those of known day first by day, as they were entered where that is not known."""
    return WeakStanding(tuple(sorted(words, key=lambda one: (one.on is None, one.on or date.min))))
