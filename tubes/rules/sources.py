"""How the reference tables name the text behind a figure, and how sure that makes it.

Grammar of a source cell: citations parted by ``;``. A citation is a key, alone (it stands for the whole row) or with
the columns it stands for in square brackets joined by ``+``; ``key[rest]`` stands for every filled column that no
other citation names. The key ``from memory`` means that no text was found.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

FROM_MEMORY = "from memory"
FROM_MEMORY_TWICE = "from memory, twice"
COMMON_PRACTICE = "common practice, no source"
OWN_WORDS = (FROM_MEMORY, FROM_MEMORY_TWICE, COMMON_PRACTICE)  # keys that say all: they stand for no text
HANDBOOKS = ("avo-vdm23",)  # tables of test conditions, read by way of a scan: surer than memory, below a maker's sheet

DERIVED, STATED, HANDBOOK, TWICE, AGREES = "derived", "stated", "handbook", "memory twice", "agrees"
GRADES = (STATED, HANDBOOK, AGREES, DERIVED, TWICE, FROM_MEMORY)  # as rows keep them, the surest first

TEXT, OWN, MEMORY = "text", "own", "memory"
TOLD = (OWN, TEXT, HANDBOOK, AGREES, DERIVED, TWICE, MEMORY)  # as answers tell them
BY_HEART: Mapping[str, str] = {
    AGREES: "from memory, agrees with a handbook", TWICE: "from memory, twice", MEMORY: "from memory",
}  # fmt: skip
_WORDS = {OWN: "your own", TEXT: "stated by a text", HANDBOOK: "from a handbook of tests", DERIVED: DERIVED}

_CITATION = re.compile(r"(?P<key>from memory, twice|[a-z0-9][a-z0-9 ._-]*?)\s*(?:\[(?P<fields>[^\[\]]*)\])?")


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
    """The text behind one figure, and its grade, one of ``GRADES``."""

    field: str
    key: str
    grade: str


def grade_of(key: str) -> str:
    """The grade that a key by itself gives."""
    if key in (FROM_MEMORY, FROM_MEMORY_TWICE):
        return FROM_MEMORY if key == FROM_MEMORY else TWICE
    if key in HANDBOOKS:
        return HANDBOOK
    return DERIVED if key.startswith(DERIVED) else STATED


def best(grades: Iterable[str]) -> str:
    """The surest of the grades that rows keep of one figure; from memory where there is none."""
    return min(grades, key=GRADES.index, default=FROM_MEMORY)


def told(grade: str, own: bool = False) -> str:
    """A grade as answers tell it, one of ``TOLD``. ``own``: of the keeper's own row, which he read himself."""
    if grade == STATED:
        return OWN if own else TEXT
    return MEMORY if grade == FROM_MEMORY else grade


def grade_words(grade: str) -> str:
    """A grade of ``TOLD`` in words."""
    return BY_HEART.get(grade) or _WORDS.get(grade, grade)


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
