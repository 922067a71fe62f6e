"""A list that comes back edited, laid out: which list it is, its rows, and what is told of its cells."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from itertools import chain, islice
from typing import Any

from inventory.holdings.models import Item
from inventory.lists.actions.read import check_rows
from inventory.lists.actions.write import ITEM_KINDS
from inventory.lists.models import ImportRun
from inventory.lists.queries.out import TAG
from inventory.lists.rules.own_lists import COMES_BACK, own_list
from inventory.lists.rules.records import FileRefused, Line
from inventory.lists.rules.rewriting import plain
from inventory.lists.rules.stamps import STAMP, Stamp, read_stamp

AT_ONCE = 500  # rows
LOOKED_AT = 15  # rows in which the heading is looked for
#: What is done with a cell that was changed here and in the list: as here, or as in the list.
HERE, LISTED = "here", "list"
#: By row and heading: what is done, and what stood here when that was said; more said here since is a conflict again.
Answers = Mapping[int, Mapping[str, Sequence[str]]]


@dataclass(frozen=True, slots=True)
class Cell:
    """What is told of one cell. ``old``: what the register says; ``new``: what it would say, or what the list says."""

    row: int
    tag: str
    column: str
    old: str
    new: str
    reason: str = ""


@dataclass
class Thing:
    """A thing of the register that a row names, with what of the row is to be written."""

    row: int
    line: Line
    tag: str
    stamp: Stamp | None
    cells: dict[str, str]
    edits: dict[str, str] = field(default_factory=dict)
    key: int = 0
    before: dict[str, str] = field(default_factory=dict)  # of what waits until all is read: its place, its number
    written: bool = False


def in_figures(cell: object) -> str:
    """A cell of a list out as text: 400 for 400.0."""
    if isinstance(cell, float) and float(short := f"{cell:.15g}") == cell:
        return short
    return str(cell)


class Held(Exception):
    """A row that is not written, with why."""

    def __init__(self, tag: str, why: str) -> None:
        super().__init__(why)
        self.tag = tag


@dataclass
class Laid:
    """A list that came back: which, its headings, its rows."""

    name: str
    headings: list[str]
    lines: list[tuple[int, Line]]
    tags: Counter[str] = field(default_factory=Counter)
    stamped: int = 0  # rows with a whole stamp

    def cells(self, line: Line) -> dict[str, str]:
        """The cells of a row by their headings; a cell that is not there is empty."""
        padded = chain(line.cells, [""] * len(self.headings))
        return {heading: cell for heading, cell in zip(self.headings, padded, strict=False) if heading}


@dataclass
class Outcome:
    """What a list that came back comes to. Lists of cells, and the rows behind them for the register."""

    changed: list[Cell] = field(default_factory=list)
    conflicts: list[Cell] = field(default_factory=list)
    held: list[Cell] = field(default_factory=list)
    read_only: list[Cell] = field(default_factory=list)
    rewritten: list[Cell] = field(default_factory=list)
    besides: list[Cell] = field(default_factory=list)
    kept: list[Cell] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    new: int = 0
    untouched: int = 0
    unstamped: int = 0
    rows: dict[int, dict[str, Any]] = field(default_factory=dict)
    run: ImportRun | None = None

    def as_dict(self) -> dict[str, Any]:
        """The answer as JSON: see ``update_list``."""
        return {
            "changed": [_told(one, "old", "new") for one in self.changed],
            "conflicts": [_told(one, "old", "new", "reason") for one in self.conflicts],
            "new": self.new,
            "untouched": self.untouched,
            "held": [_told(one, "row", "old", "new", "reason") for one in self.held],
            "read_only": [_told(one, "old", "new", "reason") for one in self.read_only],
            "rewritten": [_told(one, "old", "new") for one in self.rewritten],
            "besides": [_told(one, "old", "new") for one in self.besides],
            "kept": [_told(one, "old", "new", "reason") for one in self.kept],
            "notes": self.notes,
            "list": self.run.pk if self.run else None,
        }


def _told(cell: Cell, *names: str) -> dict[str, Any]:
    told = asdict(cell)
    return {name: told[name] for name in ("tag", "column", *names)}


def lay_out_changes(lines: Iterable[Line]) -> Laid:
    """Find the heading and the rows of a list that comes back. Raises FileRefused for one that never went out here."""
    numbered = ((number, line) for number, line in enumerate(lines, 1))
    first = list(islice(numbered, LOOKED_AT))
    at = next((at for at, (_, line) in enumerate(first) if _is_heading(line)), None)
    if at is None:
        raise FileRefused(f"No row heads it with {TAG} or {STAMP}: this is no list that was taken out here.")
    headings = [" ".join(cell.split()) for cell in first[at][1].cells]
    if twice := [one for one, count in Counter(filter(None, headings)).items() if count > 1]:
        raise FileRefused(f"Two columns are headed {twice[0]}; leave one of them.")
    laid = Laid("", headings, [])
    names: Counter[str] = Counter()
    for number, line in chain(first[at + 1 :], numbered):
        check_rows(number)
        if not line.spoilt and not any(map(str.strip, line.cells)):
            continue
        laid.lines.append((number, line))
        cells = laid.cells(line)
        laid.tags[tag_in(cells)] += 1
        if stamp := read_stamp(cells.get(STAMP, "")):
            names[stamp.name] += 1
            laid.stamped += 1
    laid.name = _which(laid, names)
    return laid


def _is_heading(line: Line) -> bool:
    return not {TAG, STAMP}.isdisjoint(cell.strip() for cell in line.cells)


def _which(laid: Laid, names: Counter[str]) -> str:
    """The list that it is: as its stamps say, by its headings, or by what bears the tags in it."""
    if len(names) > 1:
        raise FileRefused(f"Rows of several lists stand in it ({', '.join(sorted(names))}); bring each back alone.")
    own = own_list(laid.headings)
    name = next(iter(names), own.kind if own else _kind_of_tags(list(laid.tags)[:AT_ONCE]))
    if name not in COMES_BACK:
        raise FileRefused(f"Which list it is cannot be told; {', '.join(sorted(COMES_BACK))} can come back.")
    return name


def _kind_of_tags(tags: Sequence[str]) -> str:
    kinds = set(Item.objects.filter(tag__in=tags).order_by().values_list("kind", flat=True).distinct())
    return next((name for name, kind in ITEM_KINDS.items() if kinds == {kind}), "")


def tag_in(cells: Mapping[str, str]) -> str:
    if TAG in cells:
        return plain(cells[TAG]).upper()
    stamp = read_stamp(cells.get(STAMP, ""))
    return stamp.tag if stamp else ""
