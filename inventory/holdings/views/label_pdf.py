"""Drawing labels and box lists as PDF."""

import io
from collections.abc import Sequence
from functools import cache
from typing import Any
from xml.sax.saxutils import escape

import segno
from django.conf import settings
from reportlab.lib import pagesizes
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, PageBreak, Paragraph, SimpleDocTemplate, Spacer, Table, TableStyle

from inventory.holdings.queries.labels import BoxList
from inventory.holdings.rules.label_layout import LabelWords, lay_out
from inventory.holdings.rules.labels import Box, LabelSheet

PLAIN, BOLD = "FilamentryPlain", "FilamentryBold"
QUIET = 4  # modules of white round a QR code (ISO/IEC 18004)
CAUTION = (
    "Hazard words are a reminder, not a survey: a box without them can still hold something that hurts. "
    "Local codes and licensed practice come first."
)


@cache
def fonts() -> tuple[str, str]:
    """Register the two faces that ship with the program (Latin, Greek and Cyrillic on every machine)."""
    folder = settings.BASE_DIR / "inventory" / "static" / "filamentry" / "fonts"
    pdfmetrics.registerFont(TTFont(PLAIN, str(folder / "DejaVuSansCondensed.ttf")))
    pdfmetrics.registerFont(TTFont(BOLD, str(folder / "DejaVuSansCondensed-Bold.ttf")))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
    return PLAIN, BOLD


def measure(text: str, size: float, bold: bool) -> float:
    """The width of a text in millimetres."""
    return float(pdfmetrics.stringWidth(text, fonts()[bold], size)) / mm


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


def draw_label(canvas: Any, words: LabelWords, box: Box, inset: float, *, borders: bool = False) -> None:
    """One label in its box (millimetres from the lower left corner of the page)."""
    layout = lay_out(words, box.w, box.h, inset, measure)
    canvas.saveState()
    canvas.translate(box.x * mm, box.y * mm)
    if borders:
        canvas.setLineWidth(0.25)
        canvas.setStrokeGray(0.6)
        canvas.rect(0, 0, box.w * mm, box.h * mm)
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.4)
    for blank in layout.blanks:
        canvas.line(blank.x * mm, blank.y * mm, (blank.x + blank.w) * mm, blank.y * mm)
    for piece in layout.words:
        canvas.setFont(fonts()[piece.bold], piece.size)
        canvas.drawString(piece.x * mm, piece.y * mm, piece.text)
    if words.address and layout.code[2]:
        draw_code(canvas, words.address, *(length * mm for length in layout.code))
    canvas.restoreState()


def label_pdf(
    labels: Sequence[LabelWords], sheet: LabelSheet, *, start: int = 1, copies: int = 1, borders: bool = False
) -> bytes:
    """Labels on as many sheets as they take. Raises ValueError when ``start`` is not on the sheet."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(sheet.page_w_mm * mm, sheet.page_h_mm * mm), invariant=1)
    canvas.setTitle("Labels")
    wanted = [label for label in labels for _ in range(copies)]
    at = 0
    for label, (page, box) in zip(wanted, sheet.boxes(len(wanted), start), strict=True):
        if page != at:
            canvas.showPage()
            at = page
        draw_label(canvas, label, box, sheet.inset_mm, borders=borders)
    canvas.save()
    return out.getvalue()


# --- box lists --------------------------------------------------------------------------------------------------------


class Code(Flowable):
    """A QR code in the flow of a list."""

    def __init__(self, address: str, side: float) -> None:
        super().__init__()
        self.address, self.width, self.height = address, side, side

    def draw(self) -> None:
        draw_code(self.canv, self.address, 0, 0, self.width)


def _style(size: float, *, bold: bool = False) -> ParagraphStyle:
    plain, heavy = fonts()
    return ParagraphStyle("", fontName=heavy if bold else plain, fontSize=size, leading=size * 1.25)


def box_pdf(boxes: Sequence[tuple[BoxList, str]], *, paper: str, printed: str) -> bytes:
    """The lists of boxes, each beginning on a page of its own; with the address of its place as a QR code."""
    out = io.BytesIO()
    size = pagesizes.letter if paper == "Letter" else pagesizes.A4
    edge = 14 * mm
    doc = SimpleDocTemplate(
        out, pagesize=size, leftMargin=edge, rightMargin=edge, topMargin=edge, bottomMargin=edge + 6 * mm,
        title="Box list" if len(boxes) == 1 else "Box lists", invariant=1,
    )  # fmt: skip

    def foot(canvas: Any, _doc: Any) -> None:
        canvas.setFont(fonts()[0], 8)
        canvas.drawString(edge, edge, printed)
        canvas.drawRightString(size[0] - edge, edge, f"page {canvas.getPageNumber()}")

    story: list[Any] = []
    for box, address in boxes:
        story += [*([PageBreak()] if story else []), *_box_story(box, address, size[0] - 2 * edge - 12)]
    doc.build(story or [Paragraph("Nothing to print.", _style(10))], onFirstPage=foot, onLaterPages=foot)
    return out.getvalue()


def _box_story(box: BoxList, address: str, width: float) -> list[Any]:
    side = 26 * mm
    things = f"{box.things} thing{'' if box.things == 1 else 's'} here and below"
    head = [
        Paragraph(escape(box.place.path), _style(20, bold=True)), Paragraph(escape(box.place.name), _style(12)),
        Spacer(0, 2 * mm), Paragraph(things, _style(10)),
    ]  # fmt: skip
    top = Table([[head, Code(address, side)]], colWidths=[width - side, side])
    top.setStyle(TableStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0)]))
    story: list[Any] = [top, Spacer(0, 2 * mm)]
    if box.hazards:
        words = [Paragraph(f"⚠ <b>{escape(word)}</b>", _style(10)) for word in box.hazards]
        bar = Table([[[*words, Paragraph(CAUTION, _style(8))]]], colWidths=[width], splitInRow=1)
        bar.setStyle(TableStyle([("BOX", (0, 0), (-1, -1), 1.2, (0, 0, 0))]))
        story += [bar, Spacer(0, 3 * mm)]
    for path, lines in box.parts:
        if path:
            story += [Spacer(0, 2 * mm), Paragraph(escape(path), _style(12, bold=True)), Spacer(0, 1 * mm)]
        story.append(_lines_table(lines, width))
    return story if box.parts else [*story, Paragraph("Nothing lies here.", _style(10))]


def _lines_table(lines: Any, width: float) -> Table:
    small, bold = _style(9), _style(9, bold=True)
    rows: list[list[Any]] = [[Paragraph(word, bold) for word in ("What", "Count", "Tags", "Caution")]]
    for line in lines:
        rows.append([
            Paragraph(f"<b>{escape(line.name)}</b> {'' if line.kind == 'tube' else escape(line.kind)}", small),
            Paragraph(escape(line.count_text), small),
            Paragraph(escape(", ".join(line.tags)), small),
            Paragraph(escape("; ".join(line.hazards)), bold),
        ])  # fmt: skip
    shares: tuple[float, ...] = (0.22, 0.17, 0.28, 0.33)
    if not any(line.hazards for line in lines):
        rows, shares = [row[:3] for row in rows], (0.3, 0.2, 0.5)
    table = Table(rows, colWidths=[width * share for share in shares], repeatRows=1, splitInRow=1)
    table.setStyle(
        TableStyle([
            ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LINEBELOW", (0, 0), (-1, 0), 1, (0, 0, 0)),
            ("LINEBELOW", (0, 1), (-1, -1), 0.4, (0.5, 0.5, 0.5)), ("LEFTPADDING", (0, 0), (0, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 2), ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
        ])
    )  # fmt: skip
    return table
