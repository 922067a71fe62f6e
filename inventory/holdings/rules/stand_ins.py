"""What serves in the place of a part that is not to be had, though it is no such part: silicon for selenium.

The curated rows lie in ``fixtures/reference/stand_ins.csv`` and are handed in. Each tells what changes with it, what
to mind, on whose word, and what somebody else found; none is chosen. ``kind``: of part (``part_kinds``), ``tube``, or
empty where such parts are of no kind here; ``words``: of which the text has to name one (empty: any of the kind).
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.holdings.rules.part_kinds import KINDS
from tubes.rules.sources import SourceFault, field_sources, parse_source

TUBE, MERCURY = "tube", "mercury"
OWN_TITLES = ("from memory", "common practice, no source")  # titles of what stands for no text
#: What may change with a stand-in: the column and what it is called.
CHANGES = {
    "levels": "levels and voltages",
    "warm_up": "warm-up",
    "polarity": "polarity",
    "surge": "surge at switch-on",
    "hum": "hum and noise",
    "returns": "field and ground return",
    "weight": "weight, heat, room",
    "originality": "originality",
}
REVERSIBLE = {"yes": "can be undone", "no": "cannot be undone", "": "not said whether it can be undone"}


@dataclass(frozen=True, slots=True)
class Change:
    """What changes with a stand-in, in words, and on whose word."""

    what: str
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class StandIn:
    """What may be put in the place of a part, with all that goes with it. ``on``: when the row was written.

    ``other_view``: what somebody else says of the same, on whose word; both stand.
    """

    key: str
    kind: str
    words: tuple[str, ...]
    replaced: str
    instead: str
    changes: tuple[Change, ...]
    reversible: str
    caution: str
    source: str
    on: date
    other_view: str = ""
    other_source: str = ""

    @property
    def undone(self) -> str:
        """Whether it can be undone, in words."""
        return REVERSIBLE[self.reversible]

    @property
    def unread(self) -> tuple[str, ...]:
        """The sources that stand for no text: named once for the whole row."""
        return OWN_TITLES

    def as_dict(self) -> dict[str, object]:
        return {
            "key": self.key, "replaced": self.replaced, "instead": self.instead,
            "changes": [{"what": one.what, "words": one.words, "source": one.source} for one in self.changes],
            "reversible": self.reversible or None, "caution": self.caution, "source": self.source,
            "other_view": self.other_view or None, "other_source": self.other_source or None,
            "on": self.on.isoformat(),
        }  # fmt: skip


def read_stand_ins(rows: Iterable[Mapping[str, str]], sources: Iterable[Mapping[str, str]]) -> tuple[StandIn, ...]:
    """The stand-ins of rows as they lie in the file. Raises ValueError naming the row that is damaged."""
    titles = {row["key"]: row["title"] for row in sources}
    found: dict[str, StandIn] = {}
    for row in rows:
        try:
            one = _read(row, titles)
        except ValueError as fault:
            raise ValueError(f"{row.get('key') or dict(row)}: {fault}") from fault
        if one.key in found:
            raise ValueError(f"{one.key}: stands there twice")
        found[one.key] = one
    return tuple(found.values())


def _read(row: Mapping[str, str], titles: Mapping[str, str]) -> StandIn:
    for name in ("key", "replaced", "instead", "caution", "source", "on"):
        if not row[name].strip():
            raise ValueError(f"{name} is empty")
    if row["kind"] not in ("", TUBE) and row["kind"] not in KINDS:
        raise ValueError(f"{row['kind']!r} is no kind of part")
    if row["reversible"] not in REVERSIBLE:
        raise ValueError(f"{row['reversible']!r} in reversible; expected yes, no or nothing")
    if bool(row["other_view"]) != bool(row["other_source"]):
        raise ValueError("another view and its source go together")
    if not row["kind"] and not row["words"]:
        raise ValueError("neither a kind of part nor words by which it could be found")
    on = date.fromisoformat(row["on"])
    filled = [name for name in ("replaced", "instead", *CHANGES, "caution") if row[name]]
    cited = _sources(row["source"], filled, titles)
    changes = tuple(Change(label, row[name], cited[name]) for name, label in CHANGES.items() if row[name])
    texts = dict.fromkeys(text for texts in cited.values() for text in texts.split("; "))
    whole = "; ".join(sorted(texts, key=lambda text: text in OWN_TITLES))
    other = _title(row["other_source"], titles) if row["other_source"] else ""
    words = tuple(word.strip() for word in row["words"].split(";") if word.strip())
    return StandIn(
        row["key"], row["kind"], words, row["replaced"], row["instead"], changes, row["reversible"], row["caution"],
        whole, on, row["other_view"], other,
    )  # fmt: skip


def _sources(cell: str, filled: Sequence[str], titles: Mapping[str, str]) -> dict[str, str]:
    """The texts behind each filled column, by their titles. Raises SourceFault, ValueError."""
    citations = parse_source(cell)
    named = {name for citation in citations for name in citation.fields}
    if odd := named - set(filled):
        raise SourceFault(f"{', '.join(sorted(odd))} in source; no such column is filled")
    told: dict[str, list[str]] = {name: [] for name in filled}
    for one in field_sources(citations, filled):
        told[one.field].append(_title(one.key, titles))
    if bare := [name for name, texts in told.items() if not texts]:
        raise SourceFault(f"no source for {', '.join(bare)}")
    return {name: "; ".join(texts) for name, texts in told.items()}


def _title(key: str, titles: Mapping[str, str]) -> str:
    if key not in titles:
        raise ValueError(f"{key!r} is no source of stand_in_sources.csv")
    return titles[key]


def named_by(rows: Iterable[StandIn], kind: str, text: str) -> tuple[StandIn, ...]:
    """The stand-ins for a part of a kind that a text names; those for any of the kind too.

    Where one goes by a longer name that holds the shorter (wet electrolytic), both come back.
    """
    return tuple(one for one in rows if one.kind == kind and (not one.words or _names(one, text)))


def for_tube(rows: Iterable[StandIn], kind: str, filling: str = "") -> tuple[StandIn, ...]:
    """The stand-ins for a tube of a kind: rectifier, gas-regulator, ballast; of a filling: mercury."""
    asked = {word for word in (kind, filling) if word}
    return tuple(one for one in rows if one.kind == TUBE and asked.intersection(one.words))


def _names(one: StandIn, text: str) -> bool:
    return any(re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text, re.IGNORECASE) for word in one.words)
