"""A printed answer drawn as PDF. Loads slowly: imported when it is asked."""

from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.units import mm
from reportlab.platypus import Paragraph, Spacer

from inventory.house.bars_pdf import DrawnBars
from inventory.house.pdf_pages import (
    Ruled,
    below,
    build,
    caution_bar,
    head_with_code,
    paragraph,
    photographs,
    picture,
    ruled,
    section_head,
    style,
    unknown_signs,
    width_of,
)
from inventory.house.printed import Block, Caution, Cell, Drawing, Pictures, Printed, Rows, Section

RIGHT = 2  # of reportlab's alignments
TALLEST = 34 * mm  # a photograph in a table


def printed_pdf(printed: Printed, address: str, *, paper: str, foot: str) -> bytes:
    """The answer on as many pages as it takes. ``address``: of its page, as a code; empty: none."""
    width = width_of(paper)
    head = [Paragraph(escape(printed.title), style(18, bold=True, spaceAfter=3))]
    head += [paragraph(line, 9) for line in printed.lines]
    if signs := unknown_signs(printed.texts):
        sort = f"{len(signs)} sort{'s' if len(signs) > 1 else ''} of sign"
        told = f"The letters of this paper lack {sort} that these words bear: there stands nothing. The page has them."
        head.append(paragraph(told, 9))
    story: list[Any] = [head_with_code(head, address, width)] if address else head
    for block in printed.opening:
        story += [Spacer(0, 2 * mm), *_drawn(block, width)]
    for section in printed.sections:
        story += _section(section, width)
    return build(story, paper=paper, title=printed.title, printed=foot)


def _section(section: Section, width: float) -> Iterator[Any]:
    first, *rest = [_drawn(block, width) for block in section.blocks] or [[]]
    if first and isinstance(first[0], Ruled):
        yield from below(section_head(section.title, section.hint, kept=False), first[0], width)
    else:
        yield from (*section_head(section.title, section.hint), *first)
    for drawn in rest:
        yield from drawn


def _drawn(block: Block, width: float) -> list[Any]:
    if isinstance(block, Caution):
        return [caution_bar(block.words, width, block.below), Spacer(0, 2 * mm)]
    if isinstance(block, Pictures):
        left = f"{block.left_out} more photographs are with the things in the register."
        return [
            *photographs([((paper.file, paper.thumbnail), words) for paper, words in block.pictures], width),
            *([paragraph(left, 7.5)] if block.left_out else []),
        ]
    if isinstance(block, Rows):
        return [_table(block, width)]
    if isinstance(block, Drawing):
        return [DrawnBars(block.bars), paragraph(block.bars.caption, 7.5), Spacer(0, 2 * mm)]
    lead, size = ("• " if block.points else ""), (7.5 if block.small else 9)
    return [paragraph(f"{lead}{one}", size) for one in block.texts]


def _table(block: Rows, width: float) -> Ruled:
    widths = [width * share for share in block.shares]
    plain, right = style(8), style(8, alignment=RIGHT)
    heavy, heavy_right = style(8, bold=True), style(8, bold=True, alignment=RIGHT)
    looks = [(right, heavy_right) if at in block.figures else (plain, heavy) for at in range(len(widths))]
    rows = [[Paragraph(escape(word), look[1]) for word, look in zip(block.heads, looks, strict=True)]]
    for row in block.rows:
        rows.append([
            _cell(cell, look[0], wide - 12) for cell, look, wide in zip(row, looks, widths, strict=True)
        ])  # fmt: skip
    if block.total:
        rows.append([Paragraph(escape(cell.text), look[1]) for cell, look in zip(block.total, looks, strict=True)])
    return ruled(rows, widths)


def _cell(cell: Cell, look: Any, width: float) -> Any:
    small = "".join(f"<br/><font size=7>{escape(line)}</font>" for line in cell.small)
    said = f"{escape(cell.words)}{small}" if cell.words else small.removeprefix("<br/>")
    words = Paragraph(said, look)
    if cell.picture is None:
        return words
    drawn = picture((cell.picture.thumbnail, cell.picture.file), width, TALLEST)
    return [drawn, words] if said else [drawn]
