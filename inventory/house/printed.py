"""A printed answer in pieces, of which its page and its PDF alike are made: headings, words, cautions, tables.

``wording`` of an area puts them together; ``templates/parts/printed.html`` shows them, ``printed_pdf`` draws them.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from inventory.house.bars import Bars


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of a table: its text, lines in small letters below, a photograph (a row of ``holdings.Paper``).

    ``address``: the page that the text leads to; ``links``: words that lead to pages, behind it.
    """

    text: str = ""
    small: tuple[str, ...] = ()
    address: str = ""
    picture: Any = None
    links: tuple[tuple[str, str], ...] = ()

    def __bool__(self) -> bool:
        return bool(self.text or self.small or self.picture or self.links)

    @property
    def words(self) -> str:
        """Its text with the words of its links."""
        return ", ".join(filter(None, (self.text, *(words for words, _ in self.links))))


@dataclass(frozen=True, slots=True)
class Rows:
    """A table. ``shares`` of the width, one a column; ``figures``: columns of figures, set to the right.

    ``total``: a last row in heavy letters. ``left_out``: how many rows are not shown here. ``first_names``: the first
    column names the rows, be it a number.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    shares: tuple[float, ...]
    figures: frozenset[int] = frozenset()
    total: tuple[Cell, ...] = ()
    left_out: int = 0
    first_names: bool = False

    @property
    def name_at(self) -> int:
        """The column that names the row: the first with words in it that are no mere numbers; or the first of all."""
        return (
            0
            if self.first_names
            else next((at for at in range(len(self.heads)) if any(_names(row[at].text) for row in self.rows)), 0)
        )

    @property
    def named(self) -> list[list[tuple[str, Cell, str]]]:
        """For a page: each row with the head of each cell, and what the cell is: name, figure, or neither."""
        return [self._told(row) for row in self.rows]

    @property
    def headed(self) -> list[tuple[str, bool]]:
        return [(head, at in self.figures) for at, head in enumerate(self.heads)]

    @property
    def totalled(self) -> list[tuple[str, Cell, str]]:
        return self._told(self.total)

    def _told(self, row: tuple[Cell, ...]) -> list[tuple[str, Cell, str]]:
        name = self.name_at
        what = ("name" if at == name else "figure" if at in self.figures else "" for at in range(len(row)))
        return list(zip(self.heads, row, what, strict=True))


def _names(text: str) -> bool:
    return bool(text) and not text.isdecimal()


@dataclass(frozen=True, slots=True)
class Words:
    """Paragraphs, or a list of points."""

    texts: tuple[str, ...]
    points: bool = False
    small: bool = False


@dataclass(frozen=True, slots=True)
class Caution:
    """What can hurt, each by itself, in a frame."""

    words: tuple[str, ...]
    below: str = ""


@dataclass(frozen=True, slots=True)
class Pictures:
    """Photographs large enough to read a plate: (a row of ``holdings.Paper``, words below it). ``left_out``: how many
    are not shown here.
    """

    pictures: tuple[tuple[Any, str], ...]
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class Drawing:
    """Bars, drawn. The same figures stand in a table beside it."""

    bars: Bars


Block = Rows | Words | Caution | Pictures | Drawing


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with what stands below it."""

    title: str
    blocks: tuple[Block, ...]
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Printed:
    """All of it. ``lines`` stand below the title; ``opening`` before the first section."""

    title: str
    lines: tuple[str, ...]
    sections: tuple[Section, ...]
    opening: tuple[Block, ...] = ()

    @property
    def texts(self) -> Iterator[str]:
        """Every word of it."""
        yield from (self.title, *self.lines)
        for section in self.sections:
            yield from (section.title, section.hint)
        for block in (*self.opening, *(block for section in self.sections for block in section.blocks)):
            yield from _texts(block)

    def shortened(self, most: int) -> "Printed":
        """The first ``most`` rows of each table, which say how many are left out."""
        sections = (replace(one, blocks=tuple(_cut(block, most) for block in one.blocks)) for one in self.sections)
        return replace(self, sections=tuple(sections))


def _texts(block: Block) -> Iterator[str]:
    if isinstance(block, Rows):
        yield from block.heads
        for row in (*block.rows, block.total):
            for cell in row:
                yield from (cell.words, *cell.small)
    elif isinstance(block, Pictures):
        yield from (words for _, words in block.pictures)
    elif isinstance(block, Drawing):
        yield from (block.bars.caption, *(one.words for one in block.bars.rows))
    else:
        yield from block.texts if isinstance(block, Words) else (*block.words, block.below)


def _cut(block: Block, most: int) -> Block:
    if isinstance(block, Pictures):
        return replace(block, pictures=block.pictures[:most], left_out=max(0, len(block.pictures) - most))
    if not isinstance(block, Rows) or len(block.rows) <= most:
        return block
    return replace(block, rows=block.rows[:most], left_out=len(block.rows) - most)


def table(
    columns: Sequence[tuple[str, float]], rows: Iterable[Sequence[Cell]], *, figures: Iterable[str] = (),
    total: Sequence[Cell] = (), first_names: bool = False,
) -> Rows:  # fmt: skip
    """A table of (head, share of the width), without the columns of which every cell is empty. At least one stays."""
    lines = [tuple(row) for row in rows]
    kept = [at for at in range(len(columns)) if any(row[at] for row in lines)] or [0]
    whole, wanted = sum(columns[at][1] for at in kept), set(figures)
    return Rows(
        tuple(columns[at][0] for at in kept),
        tuple(tuple(row[at] for at in kept) for row in lines),
        tuple(columns[at][1] / whole for at in kept),
        frozenset(place for place, at in enumerate(kept) if columns[at][0] in wanted),
        tuple(total[at] for at in kept) if total else (),
        first_names=first_names,
    )
