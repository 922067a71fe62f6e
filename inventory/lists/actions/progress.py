"""How far the reading or writing of a long list is, told outside its transaction, where a page can see it meanwhile.

The note lies in the file cache: the database shows nothing of a transaction before its end, and SQLite takes no other
change while it runs.
"""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass

from django.core.cache import caches

from inventory.lists.actions.read import Progress
from inventory.lists.models import ImportRun

READING, TRYING, WRITING = "read", "tried out", "written"
LASTS = 600  # seconds; a note that nobody renews for so long is of a work that was cut off


def _key(run: ImportRun) -> str:
    return f"list-{run.pk}"


@dataclass(frozen=True)
class Telling:
    """Tells of one list. A note that cannot be written hinders no work."""

    run: ImportRun

    def of(self, what: str) -> Progress:
        def tell(count: int) -> None:
            with suppress(OSError):
                caches["progress"].set(_key(self.run), (what, count), LASTS)

        return tell


@contextmanager
def telling(run: ImportRun) -> Iterator[Telling]:
    """Tell how far the work on a list is; nothing is told any more once it ends, well or not."""
    try:
        yield Telling(run)
    finally:
        with suppress(OSError):
            caches["progress"].delete(_key(run))


def told_of(run: ImportRun) -> tuple[str, int] | None:
    """(what is being done, rows done), or None where nothing is."""
    with suppress(OSError):
        return caches["progress"].get(_key(run))  # type: ignore[no-any-return]
    return None
