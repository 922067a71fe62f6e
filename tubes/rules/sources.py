"""How the reference tables name the text behind a figure, and how sure that makes it.

Grammar of a source cell: citations parted by ``;``. A citation is a key, alone (it stands for the whole row) or with
the columns it stands for in square brackets joined by ``+``; ``key[rest]`` stands for every filled column that no
other citation names. The key ``from memory`` means that no text was found.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

FROM_MEMORY = "from memory"
COMMON_PRACTICE = "common practice, no source"
OWN_WORDS = (FROM_MEMORY, COMMON_PRACTICE)  # keys that say all there is to say: they stand for no text
DERIVED = "derived"
STATED = "stated"
GRADES = (STATED, DERIVED, FROM_MEMORY)

_CITATION = re.compile(r"(?P<key>[a-z0-9][a-z0-9 ._-]*?)\s*(?:\[(?P<fields>[^\[\]]*)\])?")


class SourceFault(ValueError):
    """A source cell that does not follow the grammar."""


@dataclass(frozen=True, slots=True)
class Citation:
    """One text and the columns it stands for; ``fields`` empty: the whole row; ``rest``: what nobody else named."""

    key: str
    fields: tuple[str, ...] = ()
    rest: bool = False


@dataclass(frozen=True, slots=True)
class FieldSource:
    """The text behind one figure, and its grade (stated by a text, derived, from memory)."""

    field: str
    key: str
    grade: str


def grade_of(key: str) -> str:
    """The grade that a key by itself gives."""
    if key == FROM_MEMORY:
        return FROM_MEMORY
    return DERIVED if key.startswith(DERIVED) else STATED


def parse_source(cell: str) -> tuple[Citation, ...]:
    """The citations of a source cell. Raises SourceFault when the cell does not follow the grammar above."""
    citations = []
    for part in cell.split(";"):
        match = _CITATION.fullmatch(part.strip())
        if not match:
            raise SourceFault(f"{part.strip()!r}, expected key or key[column+column]")
        names = () if match["fields"] is None else tuple(dict.fromkeys(n.strip() for n in match["fields"].split("+")))
        if not all(re.fullmatch(r"[a-z0-9_]+", name) for name in names):
            raise SourceFault(f"{part.strip()!r}, expected key or key[column+column]")
        rest = names == ("rest",)
        citations.append(Citation(match["key"], () if rest else names, rest))
    return tuple(citations)


def field_sources(citations: Iterable[Citation], filled: Iterable[str]) -> tuple[FieldSource, ...]:
    """Spread citations over the filled columns of a row: each column with each text that stands for it."""
    filled = list(filled)
    named = {name for citation in citations for name in citation.fields}
    found = []
    for citation in citations:
        fields = citation.fields or tuple(name for name in filled if not (citation.rest and name in named))
        grade = grade_of(citation.key)
        found += [FieldSource(name, citation.key, grade) for name in fields if name in filled]
    return tuple(found)


def in_titles(texts: str, titles: Mapping[str, str], show: Callable[[str, str], str] | None = None) -> str:
    """Texts named by their keys, alone or as a finding lists them (``wanted: key, key; limit: key``), by their titles.

    What is no key stays as it is. ``show`` makes of key and title what is to stand there.
    """

    def shown(key: str) -> str:
        title = "" if key in OWN_WORDS else titles.get(key, "")
        return (show(key, title) if show else title) if title else key

    def part(text: str) -> str:
        label, colon, keys = text.rpartition(": ")
        return label + colon + ", ".join(map(shown, keys.split(", ")))

    return shown(texts) if texts in titles else "; ".join(map(part, texts.split("; ")))
