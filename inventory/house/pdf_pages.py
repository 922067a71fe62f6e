"""Pages of paper as PDF: the two faces, the frame with its foot, codes. Loads slowly: imported when it is asked."""

import io
from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any
from xml.sax.saxutils import escape

import segno
from django.conf import settings
from PIL import Image as PillowImage
from reportlab.lib import pagesizes
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import CondPageBreak, Flowable, Image, Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from inventory.house.paper import LETTER

PLAIN, BOLD = "FilamentryPlain", "FilamentryBold"
QUIET = 4  # modules of white round a QR code (ISO/IEC 18004)
EDGE = 14 * mm
DOTS = 150  # of a photograph, to the inch
TALLEST = 75 * mm
SHORTEST = 660.0  # points: what a page of either paper surely holds, less its edges and foot
MOST_DOTS = 60_000_000  # of a picture that is opened: more would fill the memory of a small machine
NOT_THERE, TOO_LARGE = "This picture is not in the store.", "This picture is too large to be drawn."
INSET = 12  # what a frame takes off its two sides, in points


@cache
def fonts() -> tuple[str, str]:
    """Register the two faces that ship with the program (Latin, Greek and Cyrillic on every machine)."""
    folder = settings.BASE_DIR / "inventory" / "static" / "filamentry" / "fonts"
    pdfmetrics.registerFont(TTFont(PLAIN, str(folder / "DejaVuSansCondensed.ttf")))
    pdfmetrics.registerFont(TTFont(BOLD, str(folder / "DejaVuSansCondensed-Bold.ttf")))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
    return PLAIN, BOLD


def style(size: float, *, bold: bool = False, **more: Any) -> ParagraphStyle:
    """The look of a paragraph of that size, in points."""
    plain, heavy = fonts()
    return ParagraphStyle("", fontName=heavy if bold else plain, fontSize=size, leading=size * 1.25, **more)


def page_size(paper: str, across: bool = False) -> tuple[float, float]:
    """Width and height of a paper, in points. ``across``: it lies on its long side."""
    size = pagesizes.letter if paper == LETTER else pagesizes.A4
    return pagesizes.landscape(size) if across else size


def width_of(paper: str, across: bool = False) -> float:
    """How wide the flow of a page is, in points."""
    return page_size(paper, across)[0] - 2 * EDGE - INSET


def height_of(paper: str, across: bool = False) -> float:
    """How high the flow of a page is, in points."""
    return page_size(paper, across)[1] - 2 * EDGE - 6 * mm - INSET


def build(story: Sequence[Any], *, paper: str, title: str, printed: str, across: bool = False) -> bytes:
    """A flow of paragraphs, tables and pictures on as many pages as it takes, each with its number in the foot."""
    out = io.BytesIO()
    size = page_size(paper, across)
    doc = SimpleDocTemplate(
        out, pagesize=size, leftMargin=EDGE, rightMargin=EDGE, topMargin=EDGE, bottomMargin=EDGE + 6 * mm,
        title=title, invariant=1,
    )  # fmt: skip

    def foot(canvas: Any, _doc: Any) -> None:
        canvas.setFont(fonts()[0], 8)
        canvas.drawString(EDGE, EDGE, cut(printed, size[0] - 2 * EDGE - 20 * mm))
        canvas.drawRightString(size[0] - EDGE, EDGE, f"page {canvas.getPageNumber()}")

    doc.build(list(story) or [Paragraph("Nothing to print.", style(10))], onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def cut(text: str, width: float, size: float = 8) -> str:
    """A text that leaves the number of the page its room."""
    while len(text) > 1 and pdfmetrics.stringWidth(text, fonts()[0], size) > width:
        text = text[:-2].rstrip("…") + "…"
    return text


def section_head(title: str, hint: str = "", *, kept: bool = True) -> list[Any]:
    """A heading inside a paper. ``kept``: it stays with what follows it; not where that is a table, see ``below``."""
    look = style(12, keepWithNext=int(kept))
    return [Spacer(0, 3 * mm), Paragraph(f"<b>{escape(title)}</b> <font size=8>{escape(hint)}</font>", look)]


def paragraph(words: str, size: float = 9) -> Paragraph:
    """A paragraph of plain words."""
    return Paragraph(escape(words), style(size, spaceAfter=2))


def caution_bar(words: Sequence[str], width: float, below: str = "") -> Table:
    """What can hurt, each in a line of its own, in a frame that breaks over pages where it must."""
    lines = [Paragraph(f"⚠ <b>{escape(word)}</b>", style(10)) for word in words]
    bar = Table([[[*lines, *([Paragraph(escape(below), style(8))] if below else [])]]], colWidths=[width], splitInRow=1)
    bar.setStyle(TableStyle([("BOX", (0, 0), (-1, -1), 1.2, (0, 0, 0))]))
    return bar


def head_with_code(head: Sequence[Any], address: str, width: float, side: float = 26 * mm) -> Table:
    """Words on the left, the QR code of an address on the right."""
    top = Table([[list(head), Code(address, side)]], colWidths=[width - side, side])
    top.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]))
    return top


def draw_code(canvas: Any, address: str, x: float, y: float, side: float) -> None:
    """A QR code with its quiet zone in a square of ``side``; all in points. Dark runs are drawn as one bar each."""
    rows = [bytes(row) for row in segno.make_qr(address, error="m", boost_error=False).matrix_iter(border=QUIET)]
    step = side / len(rows)
    path = canvas.beginPath()
    for number, row in enumerate(rows):
        top = y + side - number * step
        column = 0
        while column < len(row):
            end = column
            while end < len(row) and row[end]:
                end += 1
            if end > column:
                path.rect(x + column * step, top - step, (end - column) * step, step)
            column = max(end, column + 1)
    canvas.drawPath(path, stroke=0, fill=1)


class Ruled(Table):
    """A table of which a row goes whole to the next page; only one that is taller than a page breaks."""

    def first_row(self) -> float:
        """How high its heads and the row below them are, once it is laid out."""
        return float(sum(self._rowHeights[: int(self.repeatRows) + 1]))

    def split(self, availWidth: float, availHeight: float) -> list[Any]:
        self._calc(availWidth, availHeight)
        self.splitInRow = int(self.first_row() > SHORTEST)
        rest: list[Any] = super().split(availWidth, availHeight)
        return rest


def below(heading: Sequence[Any], table: Ruled, width: float) -> list[Any]:
    """A heading with its table: both on the next page where the first row has no room on this one."""
    table.wrap(width, SHORTEST)
    high = sum(one.wrap(width, SHORTEST)[1] for one in heading) + table.first_row()
    return [CondPageBreak(min(high, SHORTEST)), *heading, table]


def ruled(rows: Sequence[Sequence[Any]], widths: Sequence[float], *, boxed: bool = False, **more: Any) -> Ruled:
    """A table with its first row as heads on every page.

    ``boxed``: with a frame round every cell, to be written in.
    """
    grid = [("GRID", (0, 1), (-1, -1), 0.4, (0.5, 0.5, 0.5))] if boxed else []
    line = [("LINEBELOW", (0, 1), (-1, -1), 0.4, (0.5, 0.5, 0.5)), ("LEFTPADDING", (0, 0), (0, -1), 0)]
    table = Ruled([list(row) for row in rows], colWidths=list(widths), repeatRows=1, **more)
    table.setStyle(
        TableStyle([
            ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LINEBELOW", (0, 0), (-1, 0), 1, (0, 0, 0)), *(grid or line),
            ("TOPPADDING", (0, 0), (-1, -1), 2), ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ])
    )  # fmt: skip
    return table


def unknown_signs(texts: Iterable[str]) -> set[str]:
    """The signs of some texts that the faces here do not have: those come out as nothing, or as an empty box."""
    fonts()
    known = pdfmetrics.getFont(PLAIN).face.charToGlyph
    return {sign for text in texts for sign in text if ord(sign) not in known and sign.isprintable()}


def photographs(pictures: Sequence[tuple[Sequence[Any], str]], width: float) -> list[Table]:
    """Pictures two beside one another, each with its words below. ``pictures``: (its files as ``picture`` has
    them, words).
    """
    cells = [_pictured(files, words, width / 2 - 4 * mm) for files, words in pictures]
    cells += [[]] * (len(cells) % 2)
    look = TableStyle([
        ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (0, -1), 0), ("BOTTOMPADDING", (0, 0), (-1, -1), 8)
    ])  # fmt: skip
    rows = (cells[at : at + 2] for at in range(0, len(cells), 2))
    return [Table([row], colWidths=[width / 2] * 2, style=look) for row in rows]


def _pictured(files: Sequence[Any], words: str, width: float) -> list[Any]:
    below = Paragraph(escape(words), style(8))
    drawn = picture(files, width)
    return [drawn, Spacer(0, 1 * mm), below] if isinstance(drawn, Image) else [drawn, below]


def picture(files: Sequence[Any], width: float, tallest: float = TALLEST) -> Image | Paragraph:
    """The first of some files of the store that can be drawn, in a box of that size; else words that say why not.

    ``files``: of one picture, the wanted one first, then copies of it; empty ones are passed over.
    """
    reason = NOT_THERE
    for file in filter(None, files):
        try:
            with file.open("rb") as content, PillowImage.open(content) as image:
                small = fitted(image, int(width * DOTS / 72), int(tallest * DOTS / 72))
        except (TooLargeError, PillowImage.DecompressionBombError):
            reason = TOO_LARGE
            continue
        except (OSError, ValueError, SyntaxError):  # SyntaxError: what Pillow raises of a broken PNG
            continue
        out = io.BytesIO()
        small.save(out, "JPEG", quality=85)
        scale = min(width / small.width, tallest / small.height, 1.0)  # a small one stays small
        return Image(out, small.width * scale, small.height * scale, hAlign="LEFT")
    return Paragraph(f"<b>{reason}</b>", style(8))


class TooLargeError(ValueError):
    """A picture of more than ``MOST_DOTS``."""


def fitted(image: Any, width: int, height: int) -> Any:
    """A picture in plain colour on white that is no larger than that many pixels. Raises TooLargeError."""
    image.draft("RGB", (width, height))  # a JPEG is then decoded no larger than is needed
    if image.width * image.height > MOST_DOTS:
        raise TooLargeError
    if image.mode in ("RGBA", "LA", "PA", "P"):
        image = image.convert("RGBA")
        ground = PillowImage.new("RGB", image.size, "white")
        ground.paste(image, mask=image.getchannel("A"))
        image = ground
    small = image.convert("RGB")
    small.thumbnail((width, height))
    return small


class Code(Flowable):
    """A QR code in the flow of a page."""

    def __init__(self, address: str, side: float) -> None:
        super().__init__()
        self.address, self.width, self.height = address, side, side

    def draw(self) -> None:
        draw_code(self.canv, self.address, 0, 0, self.width)
