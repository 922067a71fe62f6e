"""What the register has already of the rows of a list: rows alike from lists before, and tags that are given.

A list that grew or was saved again comes with the rows of last time. As many of its rows as stand in the register from
equal rows are held; those beyond are new: of three equal rows, two of them here, the first two are held and the third
is written. The sum over all lists that were not undone counts, so a row is rather asked about than made twice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from inventory.holdings.actions import free_tags
from inventory.holdings.models import Item
from inventory.lists.actions.read import ReadRow
from inventory.lists.queries.runs import rows_alike
from inventory.lists.rules import fields as f
from inventory.lists.rules.rows import NOT_AN_ITEM, REFUSED
from inventory.lists.rules.same_rows import core_digest, row_digest

SHORT = 15  # hexadecimal figures of a digest by which rows of one list are compared


@dataclass(frozen=True, slots=True)
class Before:
    """What is known of one row: its digest, the row it is alike to, whether its number is a tag and whose."""

    digest: str = ""
    alike: tuple[int, int] | None = None  # list, row
    core: str = ""
    corrected: tuple[int, int] | None = None  # list and row of one that is alike but for its readings
    repeats: int = 0  # the earlier row of the same list that says the same, but for the keeper's own number
    tag_of: str = ""  # what bears its number as a tag
    tag: str = ""  # its number, if it can be its tag


def kept_before(before: Before) -> dict[str, Any]:
    """What is known of a row that waits, as it is kept with its question: an answer may raise the next of these."""
    told = {"alike": before.alike, "corrected": before.corrected, "repeats": before.repeats, "tag_of": before.tag_of}
    return {name: list(value) if isinstance(value, tuple) else value for name, value in told.items() if value}


def known_before(kept: dict[str, Any], **more: Any) -> Before:
    """The same out of what was kept; ``more``: what is asked anew."""
    told: dict[str, Any] = {name: tuple(value) if isinstance(value, list) else value for name, value in kept.items()}
    return Before(**told, **more)


class Known:
    """Asks for a batch of rows at a time; remembers of each equal row how many are still to be matched.

    Of rows alike to those of lists before it remembers 16 bytes and three numbers each, of every row of this list one
    short digest.
    """

    def __init__(self, keys: Sequence[str], run: int | None, *, own: bool, mapping: Sequence[str] = ()) -> None:
        self.keys, self.run, self.own = keys, run, own
        numbers = [at for at, field in enumerate(mapping) if field in (f.NUMBER, f.OWN_NUMBER)]
        self.numbers = frozenset(numbers)
        self.seen: dict[int, int] = {}  # by a short digest of a row: the first row that says so
        self.mapping = mapping
        self.left: dict[bytes, tuple[int, int, int]] = {}
        self.left_cores: dict[bytes, tuple[int, int, int]] = {}

    def of(self, batch: Sequence[ReadRow]) -> list[Before]:
        """What is known of each row of a batch (six queries)."""
        digests = [self._digest(read) for read in batch]
        pairs = list(zip(batch, digests, strict=True))
        asked = {digest for digest in digests if digest and bytes.fromhex(digest) not in self.left}
        for digest, found in rows_alike(asked, self.run).items():
            self.left[bytes.fromhex(digest)] = found
        cores = [core_digest(self.keys, self.mapping, read.cells) if digest else "" for read, digest in pairs]
        wanted = {core for core in cores if core and bytes.fromhex(core) not in self.left_cores}
        for core, found in rows_alike(wanted, self.run, "core").items():
            self.left_cores[bytes.fromhex(core)] = found
        numbers = {tag for read in batch if (tag := _tag(read))}
        rows = Item.objects.filter(tag__in=numbers)
        given = {item.tag: f"{item.get_kind_display()} {item.tag}" for item in rows.only("tag", "kind")}
        free = free_tags(numbers - given.keys()) if self.own else set()
        told = []
        for (read, digest), core in zip(pairs, cores, strict=True):
            alike, near = self._match(self.left, digest), self._match(self.left_cores, core)
            tag = _tag(read) if _tag(read) in free else ""
            of, again = given.get(_tag(read), ""), self._repeats(read)
            told.append(Before(digest, alike, core, None if alike else near, again, of, tag))
        return told

    def _digest(self, read: ReadRow) -> str:
        return "" if read.reading.outcome in (REFUSED, NOT_AN_ITEM) else row_digest(self.keys, read.cells)

    def _repeats(self, read: ReadRow) -> int:
        """The number of the earlier row that says the same; 0 where none does, or the list came out of a register.

        A row with a serial is asked about by its serial (``questions.twin``).
        """
        if self.own or read.reading.serial or read.reading.outcome in (REFUSED, NOT_AN_ITEM):
            return 0
        cells = ["" if at in self.numbers else cell for at, cell in enumerate(read.cells)]
        digest = row_digest(self.keys, cells)
        first = self.seen.setdefault(int(digest[:SHORT], 16), read.row) if digest else read.row
        return first if first != read.row else 0

    @staticmethod
    def _match(left: dict[bytes, tuple[int, int, int]], digest: str) -> tuple[int, int] | None:
        key = bytes.fromhex(digest)
        count, run, row = left.get(key, (0, 0, 0))
        if not count:
            return None
        left[key] = (count - 1, run, row)
        return run, row


def _tag(read: ReadRow) -> str:
    """The number of a row as a tag would be written."""
    return read.reading.number.strip().upper()
