"""What is said of tubes beside the keeper's word on their state: what their last tests say against them, and for what
they are reserved. It hides none of the word.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from inventory.holdings.models import Item, Tube
from inventory.house.concerns import claims_of_many, doubts_of_many

OneTube = TypeVar("OneTube", bound=Tube)  # also one with what a list tells of it beside


@dataclass(frozen=True)
class SaidOf:
    """What is said of some of a number of good tubes: a word for each in doubt, and for each reserved for what."""

    doubts: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.doubts or self.kept)

    def __add__(self, other: "SaidOf") -> "SaidOf":
        return SaidOf((*self.doubts, *other.doubts), (*self.kept, *other.kept))

    @property
    def doubts_told(self) -> str:
        """How many are in doubt, in words; empty where none is."""
        if not self.doubts:
            return ""
        counted = sorted(Counter(self.doubts).items())
        each = self.doubts[0] if len(self.doubts) == 1 else ", ".join(f"{count} {word}" for word, count in counted)
        return f"{len(self.doubts)} of them in doubt, last test: {each}"

    @property
    def kept_told(self) -> str:
        """How many are reserved and for what, in words; empty where none is."""
        if not self.kept:
            return ""
        counted = sorted(Counter(self.kept).items())
        if len(counted) == 1:
            return f"{len(self.kept)} of them reserved for {self.kept[0]}"
        return f"{len(self.kept)} of them reserved: {', '.join(f'{count} for {whose}' for whose, count in counted)}"

    @property
    def told(self) -> str:
        """All that is said, to stand behind the number of good ones; empty where nothing is."""
        return "; ".join(filter(None, (self.doubts_told, self.kept_told)))

    @property
    def behind(self) -> str:
        """As above, with the comma that goes before it."""
        return f", {self.told}" if self else ""

    def as_dict(self) -> dict[str, object]:
        """As JSON of counts holds it: only keys that have something to say."""
        told = {
            "good_in_doubt": len(self.doubts), "in_doubt_words": self.doubts_told,
            "good_reserved": len(self.kept), "reserved_words": self.kept_told,
        }  # fmt: skip
        return {key: value for key, value in told.items() if value}


NOTHING_SAID = SaidOf()


def with_doubts(tubes: Iterable[OneTube]) -> list[OneTube]:
    """These tubes, each with what its last tests say against it (``Tube.doubt``; a fixed number of queries)."""
    found = list(tubes)
    told = doubts_of_many(tube.pk for tube in found)
    for tube in found:
        tube.doubt = told.get(tube.pk)
    return found


def with_words(tubes: Iterable[OneTube]) -> list[OneTube]:
    """As ``with_doubts``, and for what each is reserved (``Item.claims``)."""
    found = with_doubts(tubes)
    with_claims(tube.item for tube in found)
    return found


def with_claims(items: Iterable[Item]) -> None:
    """Let things say what counts on them (``Item.claims``; a fixed number of queries)."""
    found = list(items)
    told = claims_of_many(item.pk for item in found)
    for item in found:
        item.claims = tuple(told.get(item.pk, ()))


def with_words_of_items(items: Iterable[Item]) -> None:
    """Things of the register with what counts on them, the tubes among them with what is said against them."""
    found = list(items)
    with_doubts(item.tube for item in found if item.kind == Item.TUBE and getattr(item, "tube", None))
    with_claims(found)
