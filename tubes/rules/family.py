"""A number without the letters of its form: 6SN7 of 6SN7GT, 6SN7GTA and 6SN7WGT.

Letters behind the last figure of an American number tell the build, not the tube: G glass, GT small glass, MG metal
cased glass, M metallized, S sprayed shield, L or LT locking base, A to F later issues that serve for those before them,
W ruggedized, X and Y low-loss bases (tcuk-retma, wiki-list). GP, and the N, G and S of European numbers such as EL3N,
are common practice, no source. A figure more makes another number: 6SN70 is no form of 6SN7.
"""

import re

from tubes.rules.text import fold_key

_FORM = re.compile(
    r"(?P<number>[0-9A-Z]*[0-9])(?P<suffix>W?(?:GTG|GGT|GT|MG|GP|G|M|S|LT|L|N)?(?:[A-F]|W[A-F]?)?(?:[XY][A-F]?)?)"
)
# One letter and figures: in E80CC, E80F and E80L the letters behind tell the kind of tube.
_KIND_BEHIND = re.compile("[A-Z][0-9]+")
SHORTEST = 2  # signs of a family number


def form_of(name: str) -> tuple[str, str] | None:
    """(family number, letters of the form) of a designation, folded as for finding; None where it names no form."""
    match = _FORM.fullmatch(fold_key(name))
    if not match or not match["suffix"] or len(match["number"]) < SHORTEST or _KIND_BEHIND.fullmatch(match["number"]):
        return None
    return match["number"], match["suffix"]


def number_of(name: str) -> str:
    """The family number of a designation, folded as for finding: the name itself where it names no form."""
    found = form_of(name)
    return found[0] if found else fold_key(name)


def letters_tell(number: str) -> str:
    """What the letters behind a family number tell, in words: of European numbers (EL3) common practice, no source."""
    if fold_key(number)[:1].isdigit():
        return "the form: glass or metal, size, issue, ruggedized"
    return "of another base, bulb or issue"


def is_form_of(name: str, number: str) -> bool:
    """Whether ``name`` adds only letters of a form to ``number``."""
    found = form_of(name)
    return found is not None and found[0] == fold_key(number)
