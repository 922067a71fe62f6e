"""What the words on a lot state of a part, where that is all of it; and why nothing is read from them."""

import re
from dataclasses import replace

from inventory.holdings.rules.constructions import construction_in
from inventory.holdings.rules.part_kinds import PartFigures, a_kind, words_of
from inventory.holdings.rules.part_text import PartTextFault, read_part

#: Words for how a part is mounted, and holders of crystals (common practice, no source).
_MOUNTED = re.compile(
    r"axial|radial|tubular|bathtub|can|chassis|plug-in|"
    r"ft-?\d{3}(?:-?[ab])?|(?:hc|cr)-?\d{1,3}[a-z]?(?:/(?:u|ar))?",
    re.IGNORECASE,
)
_PLAIN = frozenset("rf r.f. af a.f. audio fixed".split())  # says no more of a lot than its kind and value do


def read_lot(name: str, value: str) -> PartFigures | None:
    """What the words on a lot state, where that is its whole value and nothing is left unread; else None. Words for a
    mounting or a holder come back as what it is marked.

    A voltage of alternating current is no rating that another may be compared with, but of class X and Y.
    """
    try:
        told = read_part(f"{name} {value}")
    except PartTextFault:
        return None
    figures = told.figures
    left = [word for word in told.left if word.lower() not in _PLAIN and not _said_again(figures, word)]
    if (
        not all(_MOUNTED.fullmatch(word) for word in left)
        or figures.value is None
        or (told.alternating and not figures.safety)
        or len(figures.safety) == 1
    ):
        return None
    return replace(figures, marked=" ".join(left))


def why_unread(name: str, value: str) -> str:
    """Why ``read_lot`` makes nothing of the words on a lot, in a sentence without its stop."""
    text = " ".join(f"{name} {value}".split())
    try:
        told = read_part(text)
    except PartTextFault as fault:
        return str(fault)
    if told.figures.value is None:
        return f"{a_kind(told.figures.kind)}, and no value with its unit; what it is stays in words"
    if len(told.figures.safety) == 1:
        return f"class {told.figures.safety} has no number: write X1, X2, Y1 or Y2 as it is marked"
    if told.alternating and not told.figures.safety:
        return (
            "a voltage of alternating current is no rating that others are compared with: write that of direct current"
        )
    return f"nothing was read from {', '.join(told.left)}" if told.left else "it states no value in full"


def _said_again(figures: PartFigures, word: str) -> bool:
    """Whether a word names the kind or the construction once more."""
    made, rest = construction_in(figures.kind, word)
    again = made is not None and made.key == figures.construction and not rest.strip()
    return again or word.lower().removesuffix("s") in words_of(figures.kind)
