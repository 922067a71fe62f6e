"""An entry as a phone sends it: its key, what it says, what it saw; and whether things have moved on since."""

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

KEY = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")  # RFC 9562, section 4
_BAD = re.compile("[\x00\ud800-\udfff]")  # a database keeps no null; half of a pair (UTF-16) is no letter
MOST_CELLS, LONGEST_NAME, LONGEST_CELL = 30, 40, 5000


class EntryRefused(ValueError):
    """What was sent is no entry; the text says why."""


@dataclass(frozen=True)
class Entry:
    """``cells``: what was typed, by field. ``seen``: what the phone showed of the thing as it was written, by field."""

    key: str
    kind: str
    written_at: datetime
    cells: Mapping[str, str]
    seen: Mapping[str, str]

    @property
    def digest(self) -> str:
        """A digest of what it says; what it saw is no part of it."""
        said = [self.kind, self.written_at.isoformat(), sorted(self.cells.items())]
        return hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()


@dataclass(frozen=True)
class Clash:
    """A field that was changed here after the entry was written: what it was then, what the entry says, what it is."""

    field: str
    old: str
    yours: str
    here: str


def read_entry(raw: Any, zone: tzinfo) -> Entry:
    """An entry of what JSON held; ``zone``: of a time without one. Raises EntryRefused."""
    if not isinstance(raw, dict):
        raise EntryRefused("An entry is an object with key, kind, at, cells and seen.")
    key = str(raw.get("key", "")).lower()
    if not KEY.fullmatch(key):
        raise EntryRefused(f"{key[:40]!r} is no key; expected a UUID.")
    try:
        at = datetime.fromisoformat(str(raw.get("at", "")))
    except ValueError as fault:
        raise EntryRefused(f"{str(raw.get('at', ''))[:40]!r} is no time; expected as in ISO 8601.") from fault
    at = at if at.tzinfo else at.replace(tzinfo=zone)
    if not 1 < at.year < 9000:  # further ones cannot be told in every zone
        raise EntryRefused(f"{str(raw['at'])[:40]!r} is no time that an entry can be written at.")
    return Entry(key, str(raw.get("kind", ""))[:12], at, _texts(raw, "cells"), _texts(raw, "seen"))


def _texts(raw: Mapping[str, Any], name: str) -> dict[str, str]:
    cells = raw.get(name) or {}
    if not isinstance(cells, dict) or len(cells) > MOST_CELLS:
        raise EntryRefused(f"{name} holds texts by field, at most {MOST_CELLS}.")
    for field, text in cells.items():
        if (
            not isinstance(text, str)
            or len(field) > LONGEST_NAME
            or len(text) > LONGEST_CELL
            or _BAD.search(field + text)
        ):
            raise EntryRefused(f"{name}, {field[:LONGEST_NAME]}: expected a text of at most {LONGEST_CELL} letters.")
    return dict(cells)


def clash_of(field: str, *, old: str, yours: str, here: str) -> Clash | None:
    """Whether a field stands otherwise than when the entry was written, and not as the entry would have it."""
    return Clash(field, old, yours, here) if here not in (old, yours) else None
