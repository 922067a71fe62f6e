"""What the register has already of the rows of a list: rows alike from lists before, and tags that are given.

A list that grew or was saved again comes with the rows of last time. As many of its rows as stand in the register from
equal rows are held; those beyond are new: of three equal rows, two of them here, the first two are held and the third
is written. The sum over all lists that were not undone counts, so a row is rather asked about than made twice.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.holdings.actions import free_tags
from inventory.holdings.models import Item
from inventory.lists.actions.like_before import SHORT, LikeBefore
from inventory.lists.actions.read import ReadRow
from inventory.lists.queries.runs import lists_like, rows_alike, rows_of_core
from inventory.lists.rules import fields as f
from inventory.lists.rules.rows import NOT_AN_ITEM, REFUSED
from inventory.lists.rules.same_rows import core_digest, row_digest

NAMED = 5  # rows that a question names
#: What new tubes of another list say alike: what they are and how many.
_PLAIN = frozenset({f.MARK, f.TYPE, f.MODEL, f.QUANTITY, f.STATE, f.READING, f.MINIMUM, f.IGNORED})


@dataclass(frozen=True, slots=True)
class Before:
    """What is known of one row: its digest, the row it is alike to, whether its number is a tag and whose."""

    digest: str = ""
    alike: tuple[int, int] | None = None  # list, row
    core: str = ""
    corrected: tuple[tuple[int, int], ...] = ()  # lists and rows of those that are alike but for their readings
    changed: tuple[int, int, str] | None = None  # list, row that it may correct, and what it says otherwise
    repeats: int = 0  # the earlier row of the same list that says the same, but for the keeper's own number
    tag_of: str = ""  # what bears its number as a tag
    tag: str = ""  # its number, if it can be its tag


def kept_before(before: Before) -> dict[str, Any]:
    """What is known of a row that waits, as it is kept with its question: an answer may raise the next of these."""
    told = {
        "alike": before.alike, "corrected": before.corrected, "changed": before.changed, "repeats": before.repeats,
        "tag_of": before.tag_of,
    }  # fmt: skip
    return {name: value for name, value in told.items() if value}


def known_before(kept: dict[str, Any], **more: Any) -> Before:
    """The same out of what was kept; ``more``: what is asked anew."""
    told: dict[str, Any] = dict(kept)
    for name in {"alike", "changed"} & told.keys():
        told[name] = tuple(told[name])
    if "corrected" in told:
        told["corrected"] = tuple(map(tuple, told["corrected"]))
    return Before(**told, **more)


@dataclass
class _Near:
    """Rows of lists before that are alike but for their readings and equal to none of this list: which, and how many
    of them no row of this list stands for yet.
    """

    rows: tuple[tuple[int, int], ...] = ()
    left: int = 0


class Known:
    """Asks for a batch of rows at a time; remembers of each equal row how many are still to be matched.

    Of rows alike to those of lists before it remembers 16 bytes and three numbers each, of every row of this list one
    short digest. ``ahead``: gives all rows of this list, asked once where a row is alike to one before but for its
    reading: what an equal row of this list stands for is no other's correction, wherever in the list that row is.
    ``name``, ``heading``: of the file; where nothing but type and count agrees, only a file like it is corrected.
    """

    def __init__(
        self, keys: Sequence[str], run: int | None, *, own: bool, mapping: Sequence[str] = (), name: str = "",
        heading: Sequence[str] = (), ahead: Callable[[], Iterable[ReadRow]] = tuple,
    ) -> None:  # fmt: skip
        self.keys, self.run, self.own = keys, run, own
        self.name, self.heading, self.ahead = name, heading, ahead
        numbers = [at for at, field in enumerate(mapping) if field in (f.NUMBER, f.OWN_NUMBER)]
        self.numbers = frozenset(numbers)
        self.telling = [at for at, field in enumerate(mapping) if field not in _PLAIN]
        self.seen: dict[int, int] = {}  # by a short digest of a row: the first row that says so
        self.mapping = mapping
        self.left: dict[bytes, tuple[int, int, int]] = {}
        self.near: dict[tuple[bytes, bool], _Near] = {}
        self.like: LikeBefore | None = None
        self.mine: Counter[int] | None = None  # rows of this list by a short digest, once they are asked for

    def of(self, batch: Sequence[ReadRow]) -> list[Before]:
        """What is known of each row of a batch (at most seven queries)."""
        digests = [self._digest(read) for read in batch]
        pairs = list(zip(batch, digests, strict=True))
        asked = {digest for digest in digests if digest and bytes.fromhex(digest) not in self.left}
        for digest, found in rows_alike(asked, self.run).items():
            self.left[bytes.fromhex(digest)] = found
        alike = [self._match(digest) for digest in digests]
        cores = [core_digest(self.keys, self.mapping, read.cells) if digest else "" for read, digest in pairs]
        self._ask_near(
            {
                self._core_of(read, core): core
                for read, core, same in zip(batch, cores, alike, strict=True)
                if core and not same
            }
        )
        numbers = {tag for read in batch if (tag := _tag(read))}
        rows = Item.objects.filter(tag__in=numbers)
        given = {item.tag: f"{item.get_kind_display()} {item.tag}" for item in rows.only("tag", "kind")}
        free = free_tags(numbers - given.keys()) if self.own else set()
        told = []
        for (read, digest), core, same in zip(pairs, cores, alike, strict=True):
            near = self._near_to(read, core) if core and not same else ()
            changed = self._changed(read) if core and not same and not near else None
            tag = _tag(read) if _tag(read) in free else ""
            of, again = given.get(_tag(read), ""), self._repeats(read)
            told.append(Before(digest, same, core, near, changed, again, of, tag))
        return told

    def _changed(self, read: ReadRow) -> tuple[int, int, str] | None:
        """The row of a list before like this one that it may correct (once all of this list, and two queries)."""
        if self.own or read.reading.serial or not self.name:
            return None
        if self.like is None:
            self.like = LikeBefore(
                self.keys, self.mapping, self._all_mine(), but=self.run, name=self.name, heading=self.heading
            )
        found = self.like.match(read.cells)
        return (found.run, found.row, found.what) if found else None

    def _all_mine(self) -> Counter[int]:
        if self.mine is None:
            digests = (self._digest(read) for read in self.ahead())
            self.mine = Counter(int(digest[:SHORT], 16) for digest in digests if digest)
        return self.mine

    def _core_of(self, read: ReadRow, core: str) -> tuple[bytes, bool]:
        """(core, whether it says more than what tubes of any list say): else it is looked for in files like this."""
        return bytes.fromhex(core), any(at < len(read.cells) and read.cells[at].strip() for at in self.telling)

    def _ask_near(self, cores: Mapping[tuple[bytes, bool], str]) -> None:
        """Look which rows before some of this list may correct (at most two queries, and once all of this list)."""
        wanted = {key: core for key, core in cores.items() if key not in self.near}
        found = rows_of_core(set(wanted.values()), self.run)
        mine = self._all_mine() if found else Counter[int]()
        like = lists_like({run for _, _, run, _ in found}, self.name, self.heading) if found else set()
        by_core: dict[str, list[tuple[str, int, int]]] = {}
        for core, digest, run, row in found:
            by_core.setdefault(core, []).append((digest, run, row))
        for key, core in wanted.items():
            claimed: Counter[str] = Counter()
            rows: list[tuple[int, int]] = []
            for digest, run, row in by_core.get(core, ()):
                claimed[digest] += 1
                if claimed[digest] <= mine[int(digest[:SHORT], 16)]:
                    continue  # an equal row of this list stands for it
                if key[1] or run in like:
                    rows.append((run, row))
            self.near[key] = _Near(tuple(rows[:NAMED]), len(rows))

    def _near_to(self, read: ReadRow, core: str) -> tuple[tuple[int, int], ...]:
        near = self.near[self._core_of(read, core)]
        if not near.left:
            return ()
        near.left -= 1
        return near.rows

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

    def _match(self, digest: str) -> tuple[int, int] | None:
        key = bytes.fromhex(digest)
        count, run, row = self.left.get(key, (0, 0, 0))
        if not count:
            return None
        self.left[key] = (count - 1, run, row)
        return run, row


def _tag(read: ReadRow) -> str:
    """The number of a row as a tag would be written."""
    return read.reading.number.strip().upper()
