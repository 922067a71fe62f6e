"""Numbers of rows as addresses and forms carry them: only what a database can hold is one."""

MOST_FIGURES = 18  # every number of so many figures fits into 64 bits


def key_of(text: str) -> int | None:
    """The number of a row that a text is; None where it is none that a database could hold."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= MOST_FIGURES else None
