"""Bars drawn on paper, in black and white. Loads slowly: imported when it is asked."""

from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from inventory.house.bars import LESS, LETTERS, TICK_LETTERS, UNKNOWN, WIDTH, Bar, Bars
from inventory.house.pdf_pages import fonts

WIDE = 92 * mm
GREY = 0.6


class DrawnBars(Flowable):
    """Bars in the flow of a page, as ``templates/parts/bars.html`` draws them."""

    def __init__(self, bars: Bars, width: float = WIDE) -> None:
        super().__init__()
        self.bars, self.scale, self.spaceBefore = bars, width / WIDTH, 1.5 * mm
        self.width, self.height = width, bars.height * self.scale

    def draw(self) -> None:
        canvas: Any = self.canv
        canvas.scale(self.scale, self.scale)
        high = self.bars.height
        face, _ = fonts()
        canvas.setStrokeGray(GREY)
        foot = high - (self.bars.foot or high)
        canvas.setFont(face, TICK_LETTERS)
        for x, words, anchor in self.bars.ticks:
            for one in self.bars.rows:  # beside the bars alone: no line lies over words
                canvas.line(x, high - one.y - 38, x, high - one.y - 21)
            put = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
            put[anchor](x, foot - 16, words)
        canvas.setStrokeGray(0)
        canvas.line(self.bars.zero, foot, self.bars.zero, high)
        canvas.setFont(face, LETTERS)
        for one in self.bars.rows:
            _draw_row(canvas, one, high - one.y)


def _draw_row(canvas: Any, one: Bar, top: float) -> None:
    canvas.drawString(12, top - 17, one.name)
    canvas.drawRightString(WIDTH - 8, top - 17, one.told)
    hollow = one.kind in (LESS, UNKNOWN)
    canvas.setFillGray(1 if hollow else 0)
    canvas.setDash(*((5, 3) if one.kind == UNKNOWN else ()))
    canvas.rect(one.x, top - 35, one.width, 12, fill=1, stroke=int(hollow))
    canvas.setDash()
    if one.then:
        canvas.setFillGray(1)
        canvas.rect(one.then[0], top - 34, one.then[1], 10, fill=1)
    canvas.setFillGray(0)
    if one.line:
        low, high = one.line
        canvas.line(low, top - 42, high, top - 42)
        for end in one.line:
            canvas.line(end, top - 38, end, top - 46)
    if one.mark is not None:
        canvas.line(one.mark, top - 22, one.mark, top - 38)
        canvas.setFillGray(1)
        canvas.circle(one.mark, top - 29, 4.5, fill=1)
        canvas.setFillGray(0)
