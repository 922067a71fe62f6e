"""The family sheet drawn as one page of PDF, across the paper. Loads slowly: imported when it is asked."""

from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepInFrame, Paragraph, Spacer, Table, TableStyle

from inventory.house.pdf_pages import BOLD, PLAIN, build, height_of, paragraph, style, width_of
from tubes.queries.family import Column
from tubes.rules.bases import BOSS, DOT, GAP, KEY
from tubes.wording.base_diagrams import MIDDLE, OPEN, RIM, Drawing
from tubes.wording.cautions import CHANGING_TUBES
from tubes.wording.family_sheet import Cell, Reasons, Shown

FIRST = 38 * mm
HIGHEST = 36 * mm  # of a drawing


def family_pdf(shown: Shown, *, paper: str) -> bytes:
    """The sheet on one page: what is too high for it is drawn smaller."""
    width, height = width_of(paper, across=True), height_of(paper, across=True)
    sheet = shown.sheet
    title = f"{sheet.name} beside its kin"
    same = f" = {' = '.join(sheet.same)}" if sheet.same else ""
    story: list[Any] = [Paragraph(f"{escape(title)}<font size=9>{escape(same)}</font>", style(14, bold=True))]
    story += [paragraph(shown.left_out, 8)] if shown.left_out else []
    story += [_table(shown, width), Spacer(0, 1.5 * mm)]
    asked = f"May they stand in for {escape(sheet.name)}, at its rated values?" if shown.others else "What to mind"
    story += [Paragraph(f"<b>{asked}</b>", style(8))]
    story += [Paragraph(_why(one), style(7)) for one in shown.reasons if one.verdict or one.cautions]
    texts = f"Texts: {'; '.join(shown.titles)}." if sheet.texts else ""
    story += [paragraph(" ".join(filter(None, (CHANGING_TUBES, *shown.legend, texts))), 6.5)]
    frame = KeepInFrame(width, height, story, mode="shrink")
    return build([frame], paper=paper, title=title, printed=title, across=True)


def _why(one: Reasons) -> str:
    told = " ".join(text.replace(" -> ", " \u2192 ") for text in one.told)
    verdict = f": <b>{escape(one.verdict)}</b>." if one.verdict else ""
    cautions = "".join(f" <b>Caution: {escape(text)}</b>" for text in one.cautions)
    return f"<b>{escape(one.name)}</b>{verdict} {escape(told)}{cautions}"


def _table(shown: Shown, width: float) -> Table:
    count = len(shown.sheet.columns)
    share = min((width - FIRST) / count, 60 * mm)
    small, label = style(7), style(7, bold=True)
    rows: list[list[Any]] = [[Paragraph("Figure", label), *(_head(one, shown) for one, _ in shown.columns)]]
    rows.append([Paragraph("base, seen from below", label), *(_drawn(one, share - 6) for one in shown.drawings)])
    for row in shown.rows:
        said = f"<b>{escape(row.label)} \u2260</b>" if row.differs else escape(row.label)
        rows.append([Paragraph(said, small), *(Paragraph(_cell(cell), small) for cell in row.cells)])
    table = Table(rows, colWidths=[FIRST, *[share] * count], hAlign="LEFT")
    table.setStyle(
        TableStyle([
            ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LINEBELOW", (0, 0), (-1, 0), 1, (0, 0, 0)),
            ("LINEBELOW", (0, 1), (-1, -1), 0.3, (0.5, 0.5, 0.5)), ("LINEAFTER", (0, 0), (0, -1), 0.6, (0, 0, 0)),
            ("TOPPADDING", (0, 0), (-1, -1), 0.6), ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2),
            ("LEFTPADDING", (0, 0), (-1, -1), 3), ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ])
    )  # fmt: skip
    return table


def _head(one: Column, shown: Shown) -> Paragraph:
    told = "the type itself"
    if one.judgement is not None:
        how = one.relation or "named by the reader"
        told = f"{escape(how)}<br/>may stand in for {escape(shown.sheet.name)}:<br/><b>{one.judgement.verdict}</b>"
    return Paragraph(f"<b><font size=10>{escape(one.name)}</font></b><br/>{told}", style(7.5))


def _cell(cell: Cell) -> str:
    text = escape(cell.text) if cell.known else f"<i>{escape(cell.text)}</i>"
    if cell.sign:
        text = f"<b>{cell.sign} {text} <font size=6>{escape(cell.by)}</font></b>"
    grade = f" <font size=5.5>{escape(cell.grade)}</font>" if cell.known and cell.grade != "-" else ""
    return f"{text}{chr(0x2020) if cell.elsewhere else ''}{grade}"


def _drawn(drawing: Drawing | None, width: float) -> Any:
    return BaseDrawing(drawing, min(width, 46 * mm)) if drawing else paragraph("no base known", 7)


class BaseDrawing(Flowable):
    """A base seen from below in the flow of a page."""

    def __init__(self, drawing: Drawing, width: float) -> None:
        super().__init__()
        self.drawing = drawing
        self.scale = min(width / drawing.width, HIGHEST / drawing.height)
        self.width, self.height = drawing.width * self.scale, drawing.height * self.scale

    def draw(self) -> None:
        canvas, drawing = self.canv, self.drawing
        canvas.saveState()
        canvas.scale(self.scale, self.scale)
        base = drawing.diagram.base
        canvas.setLineWidth(2)
        if not base.true:
            canvas.setDash(7, 5)
        x, y = MIDDLE[0], self._up(MIDDLE[1])
        open_for = OPEN if base.mark == GAP else 0.0
        canvas.arc(x - RIM, y - RIM, x + RIM, y + RIM, 270 + open_for, 360 - 2 * open_for)
        canvas.setDash()
        self._mark(base.mark, x, y)
        for pin in drawing.pins:
            up = self._up(pin.y)
            canvas.setLineWidth(2.5 if pin.label else 1)
            canvas.circle(pin.x, up, pin.r)
            if pin.differs:
                canvas.setLineWidth(1.5)
                canvas.circle(pin.x, up, pin.r + 3)
            canvas.setFont(BOLD, 13)
            canvas.drawCentredString(pin.x, up - 4.5, pin.number)
            self._letters(pin.label_x, self._up(pin.label_y), pin.anchor, pin.label, pin.differs)
        for at, anchor, letters, differs in drawing.caps:
            left = 4 if anchor == "start" else drawing.width - 18
            canvas.setLineWidth(2)
            canvas.arc(left, self._up(19), left + 14, self._up(5), 0, 180)
            canvas.rect(left, self._up(20), 14, 8)
            self._letters(at, self._up(19), anchor, letters, differs)
        canvas.setFont(PLAIN, 13)
        canvas.drawCentredString(x, self._up(226), "from below")
        canvas.restoreState()

    def _up(self, y: float) -> float:
        """The drawing counts downwards, the page upwards."""
        return self.drawing.height - y

    def _mark(self, mark: str, x: float, y: float) -> None:
        canvas = self.canv
        canvas.setLineWidth(2)
        if mark == KEY:
            canvas.arc(x - 20, y - 20, x + 20, y + 20, 282, 336)
            canvas.rect(x - 4, y - 20, 8, 8)
        elif mark == BOSS:
            canvas.circle(x, y - RIM, 7)
        elif mark == DOT:
            canvas.circle(56, y, 5, fill=1)
        elif mark == GAP:
            canvas.setFont(PLAIN, 13)
            canvas.drawCentredString(x, y - RIM, "gap")

    def _letters(self, x: float, y: float, anchor: str, letters: str, differs: bool) -> None:
        text = f"\u2260{letters}" if differs else letters
        canvas = self.canv
        canvas.setFont(BOLD, 17)
        draw = {"start": canvas.drawString, "end": canvas.drawRightString}.get(anchor, canvas.drawCentredString)
        draw(x, y, text)
