"""Marks that a note names as kin and that no row explains: whoever follows such a note finds nothing.

Only behind words of kinship (same as, also, form of, kin of, near the ...); what a note merely mentions, a set, a
socket or a look-alike in other letters, is none.
"""

import re
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass

from tubes.rules.text import fold_key

_MARK = r"(?:[A-Z]{0,4}-?[0-9]{1,4}[A-Z]{1,4}[0-9]*[A-Z0-9]*|[A-Z]{2,4}-?[0-9]{2,4}(?:[-/][0-9]{1,3}[A-Z]?)?[A-Z]{0,3})"
_KIN = re.compile(
    r"\b(?:same (?:tube |class )?as|also(?: branded| marked)?|forms? of|kin of|versions? of|copy of|near(?: the)?|"
    r"see(?: also)?|one tube with|replace[sd](?: by)?)\s+(?:the |a )?(?P<mark>" + _MARK + r")(?![\w.%])"
)
_SOCKET = re.compile(r"[4-9][A-Z]{1,2}")  # a basing code reads like a short number


@dataclass(frozen=True, slots=True)
class Named:
    """A row of ``about``, a type, whose note names a mark that no row explains."""

    about: str
    mark: str
    note: str

    def as_dict(self) -> dict[str, str]:
        return {"about": self.about, "names": self.mark, "note": self.note}


def marks_named(note: str) -> list[str]:
    """The marks that a note names as kin, in its order."""
    return [found["mark"] for found in _KIN.finditer(note) if not _SOCKET.fullmatch(found["mark"])]


def named_by_none(notes: Iterable[tuple[str, str]], known: Container[str]) -> Iterator[Named]:
    """Of notes (type, note), what they name and nobody knows. ``known``: marks and types by ``fold_key``."""
    for about, note in notes:
        for mark in marks_named(note):
            if fold_key(mark) not in known:
                yield Named(about, mark, note)
