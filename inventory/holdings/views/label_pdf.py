"""Drawing labels and box lists as PDF."""

import io
from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import PageBreak, Paragraph, Spacer, Table

from inventory.holdings.queries.labels import BoxList
from inventory.holdings.rules.label_layout import LabelWords, lay_out
from inventory.holdings.rules.labels import Box, LabelSheet
from inventory.house.pdf_pages import build, caution_bar, draw_code, fonts, head_with_code, ruled, style, width_of

CAUTION = (
    "Hazard words are a reminder, not a survey: a box without them can still hold something that hurts. "
    "Local codes and licensed practice come first."
)


def measure(text: str, size: float, bold: bool) -> float:
    """The width of a text in millimetres."""
    return float(pdfmetrics.stringWidth(text, fonts()[bold], size)) / mm


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


def box_pdf(boxes: Sequence[tuple[BoxList, str]], *, paper: str, printed: str) -> bytes:
    """The lists of boxes, each beginning on a page of its own; with the address of its place as a QR code."""
    story: list[Any] = []
    for box, address in boxes:
        story += [*([PageBreak()] if story else []), *_box_story(box, address, width_of(paper))]
    title = "Box list" if len(boxes) == 1 else "Box lists"
    return build(story, paper=paper, title=title, printed=printed)


def _box_story(box: BoxList, address: str, width: float) -> list[Any]:
    things = f"{box.things} thing{'' if box.things == 1 else 's'} here and below"
    head = [
        Paragraph(escape(box.place.path), style(20, bold=True)), Paragraph(escape(box.place.name), style(12)),
        Spacer(0, 2 * mm), Paragraph(things, style(10)),
    ]  # fmt: skip
    story: list[Any] = [head_with_code(head, address, width), Spacer(0, 2 * mm)]
    if box.hazards:
        story += [caution_bar(box.hazards, width, CAUTION), Spacer(0, 3 * mm)]
    for path, lines in box.parts:
        if path:
            story += [Spacer(0, 2 * mm), Paragraph(escape(path), style(12, bold=True)), Spacer(0, 1 * mm)]
        story.append(_lines_table(lines, width))
    return story if box.parts else [*story, Paragraph("Nothing lies here.", style(10))]


def _lines_table(lines: Any, width: float) -> Table:
    small, bold = style(9), style(9, bold=True)
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
    return ruled(rows, [width * share for share in shares])
