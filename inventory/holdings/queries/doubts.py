"""What the last tests say against tubes, beside the keeper's word on their state: it hides none of it."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, TypeVar

from inventory.holdings.models import Tube
from inventory.house.concerns import doubts_of_many

OneTube = TypeVar("OneTube", bound=Tube)  # also one with what a list tells of it beside


@dataclass(frozen=True)
class InDoubt:
    """What is said against some of a number of good tubes, a word for each of them."""

    words: tuple[str, ...] = ()

    def __len__(self) -> int:
        return len(self.words)

    def __add__(self, other: "InDoubt") -> "InDoubt":
        return InDoubt((*self.words, *other.words))

    @property
    def told(self) -> str:
        """In words, to stand behind the number of good ones; empty where nothing is said."""
        if not self.words:
            return ""
        counted = sorted(Counter(self.words).items())
        each = self.words[0] if len(self) == 1 else ", ".join(f"{count} {word}" for word, count in counted)
        return f"{len(self)} of them in doubt, last test: {each}"

    @property
    def behind(self) -> str:
        """As above, with the comma that goes before it."""
        return f", {self.told}" if self.words else ""


NO_DOUBT = InDoubt()


def with_doubts(tubes: Iterable[OneTube]) -> list[OneTube]:
    """These tubes, each with what its last tests say against it (``Tube.doubt``; a fixed number of queries)."""
    found = list(tubes)
    told = doubts_of_many(tube.pk for tube in found)
    for tube in found:
        tube.doubt = told.get(tube.pk)
    return found


def with_doubts_of_items(items: Iterable[Any]) -> None:
    """As above, of the tubes among some things of the register."""
    with_doubts(item.tube for item in items if item.kind == "tube" and getattr(item, "tube", None))
