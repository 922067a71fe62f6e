"""Something that does the work of what a plan is short of, and is no such part."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Instead:
    """Something that is put in the place of what a line asks for, and on whose word.

    ``verdict``: whether it serves in that set model; empty: nobody said. ``differs``: another word there says the
    contrary. ``key``: the curated row with all that changes, where it follows one. ``caution``: what can hurt.
    """

    words: str
    verdict: str
    source: str
    differs: bool = False
    key: str = ""
    caution: str = ""

    def as_dict(self) -> dict[str, Any]:
        return {
            "instead": self.words, "word": self.verdict or None, "differs": self.differs, "source": self.source,
            "general": self.key or None, "caution": self.caution,
        }  # fmt: skip
