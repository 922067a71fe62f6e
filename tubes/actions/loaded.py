"""Whether the reference tables stand as they were last loaded: a load that would change nothing is not done again."""

import hashlib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import tubes
from tubes.models import State
from tubes.rules.tables import FILES


@cache
def _program() -> bytes:
    """A digest of what reads the tables and writes their rows: another program may make other rows of them."""
    found = hashlib.sha256()
    for folder in map(Path, tubes.__path__):
        for file in sorted(folder.rglob("*.py")):
            found.update(file.read_bytes())
    return found.digest()


def digest_of(folder: Path) -> str:
    """A digest of the tables in a folder and of what reads them."""
    found = hashlib.sha256(_program())
    for name in FILES:
        file = folder / name
        text = file.read_bytes() if file.is_file() else None
        found.update(f"{name} {'none' if text is None else len(text)} ".encode())
        found.update(text or b"")
    return found.hexdigest()


def stands_loaded(digest: str) -> dict[str, dict[str, int]] | None:
    """The counts of a load with nothing to do, where these tables were loaded last and no row changed since."""
    state = State.objects.filter(pk=1).first()
    if state is None or not state.tables or state.tables != digest or state.as_of != state.token:
        return None
    return {sort: dict(counts) for sort, counts in state.in_tables.items()}


def note_loaded(digest: str, counts: Mapping[str, Mapping[str, int]]) -> None:
    """Write down that tables were loaded, in the transaction that did it. ``counts``: what it did, by sort of row."""
    in_tables = {
        sort: {word: number if word == "in tables" else 0 for word, number in of_sort.items()}
        for sort, of_sort in counts.items()
    }
    token = State.objects.filter(pk=1).values_list("token", flat=True).first()
    State.objects.filter(pk=1).update(tables=digest, as_of=token or "", in_tables=in_tables)
