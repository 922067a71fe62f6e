"""Numbers of rows: as addresses and forms carry them (only what a database can hold is one); many in one question."""

from collections.abc import Iterable, Iterator

AT_ONCE = 500  # keys that one question to a database names; SQLite may refuse a thousand
MOST_FIGURES = 18  # every number of so many figures fits into 64 bits


def key_of(text: str) -> int | None:
    """The number of a row that a text is; None where it is none that a database could hold."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= MOST_FIGURES else None


def in_parts(keys: Iterable[int]) -> Iterator[list[int]]:
    """Every key once, in order, in lists that one question names each; nothing for no keys."""
    wanted = sorted(set(keys))
    for start in range(0, len(wanted), AT_ONCE):
        yield wanted[start : start + AT_ONCE]
