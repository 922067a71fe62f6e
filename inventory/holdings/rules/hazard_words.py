"""The short word of each hazard that a caution names: what must stand on a label whole, however small it is.

Which words name a hazard: ``hazard_kinds``; when they deny it: ``hazard_denied``.
"""

import re
from collections.abc import Iterable
from functools import lru_cache

from inventory.holdings.rules.hazard_denied import doubtful_clause, is_denied
from inventory.holdings.rules.hazard_kinds import TOLD, HazardKind

SHORT = 26  # letters; a text up to this long is its own short word
NOT_CHECKED = " (not checked)"
OTHER = "hazard, see its page"


def short_words(texts: Iterable[str]) -> tuple[str, ...]:
    """The short words of cautions in the order in which they are named, each once.

    A short text is its own word. A long one gives the hazards that it names, else its first clause, else a pointer.
    A question mark stands behind one that nobody checked.
    """
    words: dict[str, None] = {}
    for text in filter(None, map(str.strip, texts)):
        words |= dict.fromkeys(_words(text))
    return tuple(word for word in words if not (word.endswith("?") and word[:-1] in words))


def _words(text: str) -> list[str]:
    if text.endswith(NOT_CHECKED):
        return [f"{word}?" for word in _words(text.removesuffix(NOT_CHECKED))]
    if len(text) <= SHORT:
        return [text.rstrip(" .;:,")]
    if found := kinds_named(text):
        return [kind.short for kind in found]
    clause = re.split(r"[.;:,(](?![0-9])", text, maxsplit=1)[0].strip()
    return [clause if 0 < len(clause) <= SHORT else OTHER]


@lru_cache(maxsize=20_000)  # the notes of all types are read again whenever one of them changes
def kinds_named(text: str) -> tuple[HazardKind, ...]:
    """The hazards that a caution names and does not deny, in the order in which it does."""
    hits = ((kind, named_first(text, pattern, kind)) for kind, pattern in TOLD)
    found = [(hit.start(), kind.short, kind) for kind, hit in hits if hit]
    return tuple(kind for *_, kind in sorted(found, key=lambda one: one[:2]))


def named_first(text: str, pattern: re.Pattern[str], kind: HazardKind) -> re.Match[str] | None:
    """Where words name what a pattern stands for and do not deny it, the first time they do; plain words first."""
    hits = [hit for hit in pattern.finditer(text) if not (kind.substance and is_denied(text, hit))]
    return next((hit for hit in hits if not doubtful_clause(text, hit)), next(iter(hits), None))
