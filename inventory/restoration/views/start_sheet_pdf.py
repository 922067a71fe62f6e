"""The start sheet on paper: what hurts on top, what is there, every check with room to write what was found."""

from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape

from django.utils import timezone
from reportlab.lib.units import mm
from reportlab.platypus import KeepTogether, Paragraph, Spacer, Table, TableStyle

from inventory.house.pdf_pages import (
    Ruled,
    below,
    build,
    caution_bar,
    head_with_code,
    ruled,
    section_head,
    style,
    width_of,
)
from inventory.restoration.queries.start_sheet import SheetRow, SheetSocket, StartSheet
from inventory.restoration.rules.findings import Standing
from inventory.restoration.rules.start_rows import (
    DEAD,
    FIRST_POWER,
    ORDER_OF_WORK,
    ORDER_RULE,
    ORDER_SOURCE,
    TOUCHING,
    UNDO_SOURCE,
)

BEFORE_ALL = (
    "Local codes and licensed practice come first. Never alone; plug out, discharged with bleeder and shorting stick "
    "and proved dead before hands go in."
)
LEAST = 8.5 * mm  # room for a line of handwriting
HINTS = {
    TOUCHING: "Nothing is moved before the plug is out and all is discharged.",
    DEAD: "Plug out, discharged and shorted throughout.",
    FIRST_POWER: "Only when nothing above stands open. Filaments first, then plate supply.",
}


def start_sheet_pdf(sheet: StartSheet, address: str, *, paper: str, by: str) -> bytes:
    """The sheet of a set on as many pages as it takes. ``address``: of its page, where results are typed in."""
    width = width_of(paper)
    head = [
        Paragraph(f"Start sheet: {escape(str(sheet.chassis.model))}", style(18, bold=True)),
        Paragraph(escape(f"{sheet.chassis.serial_text}, {sheet.chassis.tag}"), style(12)),
        Paragraph(escape(f"for {sheet.plan}, {sheet.on}; results are typed in where the code leads"), style(9)),
        Spacer(0, 2 * mm), _signs(width - 26 * mm),
    ]  # fmt: skip
    story: list[Any] = [head_with_code(head, address, width), Spacer(0, 2 * mm)]
    story += [caution_bar(sheet.cautions or ("No caution is recorded of this model.",), width, BEFORE_ALL)]
    if sheet.ruled_out:
        told = "; ".join(f"{mark.hazard} ({mark.on})" for mark in sheet.ruled_out)
        story.append(Paragraph(escape(f"Looked for and not found: {told}."), style(8)))
    story += [*_sockets(sheet.sockets, width), *supply_told(sheet)]
    for title, rows in sheet.parts.items():
        if title == FIRST_POWER:
            story += _order(sheet, width)
        story += below(section_head(title, HINTS[title], kept=False), _checks(rows, width), width)
    if sheet.no_more:
        heading = section_head("Asked no more", "Found before the set or its plan changed.", kept=False)
        story += below(heading, _checks(sheet.no_more, width), width)
    story += _sources(sheet)
    printed = f"{sheet.chassis.tag}, start sheet, printed {timezone.localtime():%Y-%m-%d %H:%M} by {by}"
    return build(story, paper=paper, title=f"Start sheet {sheet.chassis.tag}", printed=printed)


def supply_told(sheet: StartSheet) -> list[Any]:
    """What the tubes of the plan do to the supplies and pairs of the set, and what other types entail."""
    supply, small = sheet.supply, style(8)
    heaters = supply.load.text if supply.load else supply.why_not
    told = [f"Heaters: {heaters}"] if heaters else []
    told += [f"{', '.join(marks)}: {text}" for text, marks in _entailed(sheet).items()]
    told += [rail.text for rail in supply.rails]
    told += [f"To neutralize afterwards: {sheet.chassis} with {text}" for text in supply.due]
    return [Spacer(0, 1 * mm), *(Paragraph(escape(text), small) for text in told)] if told else []


def _entailed(sheet: StartSheet) -> dict[str, list[str]]:
    """What tubes of another type entail, each once, with the positions of which it is so."""
    told: dict[str, list[str]] = {}
    for one in sheet.sockets:
        for text in one.entails:
            told.setdefault(text, []).append(one.row.position.mark)
    return told


def _signs(width: float) -> Table:
    """Room for who and when."""
    words = [[Paragraph(word, style(8)), ""] for word in ("By", "Second person", "Day")]
    shares = (0.06, 0.27, 0.2, 0.25, 0.07, 0.15)
    table = Table([[cell for pair in words for cell in pair]], colWidths=[width * share for share in shares])
    lines = [("LINEBELOW", (column, 0), (column, 0), 0.5, (0, 0, 0)) for column in (1, 3, 5)]
    table.setStyle(TableStyle([*lines, ("LEFTPADDING", (0, 0), (-1, -1), 2), ("VALIGN", (0, 0), (-1, -1), "BOTTOM")]))
    return table


def _sockets(sockets: Sequence[SheetSocket], width: float) -> list[Any]:
    """The positions in two columns, with a blank for what is found there."""
    heading = section_head("What is there", kept=False)
    if not sockets:
        none = "No position of this model is recorded: list what is there on the back."
        return [*heading, Paragraph(none, style(9))]
    small, bold = style(8), style(8, bold=True)
    head = [Paragraph(word, bold) for word in ("Position", "Register, planned", "Found there")]
    half = (len(sockets) + 1) // 2
    cells = [_socket(one, small) for one in sockets] + [["", "", ""]] * (half * 2 - len(sockets))
    rows = [head * 2, *([*cells[at], *cells[at + half]] for at in range(half))]
    shares = (0.14, 0.2, 0.16) * 2
    return below(heading, ruled(rows, [width * share for share in shares], boxed=True), width)


def _socket(one: SheetSocket, look: Any) -> list[Any]:
    position = one.row.position
    wants = escape(position.type.name) if position.type else "?"
    planned = f"; {escape(one.planned)}" if one.planned else ""
    return [
        Paragraph(f"<b>{escape(position.mark)}</b> {wants}", look), Paragraph(escape(one.held) + planned, look), "",
    ]  # fmt: skip


def _checks(rows: Sequence[SheetRow], width: float) -> Ruled:
    """Checks with what is expected, what was found so far, and blanks."""
    bold = style(8, bold=True)
    cells: list[list[Any]] = [[Paragraph(word, bold) for word in ("", "Check", "Expected", "Found", "As it should be")]]
    cells += [_check(row) for row in rows]
    shares = (0.05, 0.46, 0.15, 0.22, 0.12)
    heights = [None, *(None if row.standing else _room(row, width * shares[1]) for row in rows)]
    return ruled(cells, [width * share for share in shares], boxed=True, rowHeights=heights)


def _room(row: SheetRow, width: float) -> float | None:
    """A row that its words leave lower than a line of handwriting is made as high."""
    tall = _asked(row).wrap(width - 12, 1e6)[1] + 5
    return LEAST if tall < LEAST else None


def _asked(row: SheetRow) -> Paragraph:
    check = row.check
    letter = f"&nbsp;<super size=6>{row.letter}</super>" if row.letter else ""
    how = f"<br/><b>{escape(check.caution)}</b>" if check.caution else ""
    how += f"<br/><font size=7>{escape(check.how)}</font>" if check.how else ""
    why = f" <font size=7>({escape(check.because)})</font>" if check.because != "every set" else ""
    return Paragraph(f"{escape(check.words)}{letter}{why}{how}", style(8.5))


def _check(row: SheetRow) -> list[Any]:
    small = style(8)
    found = Paragraph(_found(row.standing), small) if row.standing else Paragraph(escape(row.check.unit), _right())
    return [
        Paragraph(str(row.number or ""), small), _asked(row), Paragraph(escape(row.check.expected), small), found,
        Paragraph(_judged(row.standing), small),
    ]  # fmt: skip


def _judged(standing: Standing | None) -> str:
    """What was said of it so far; room to say it, anew where it was not as it should be."""
    ask = "yes&nbsp;&nbsp;&nbsp;&nbsp;no"
    if standing is None or standing.settled is None:
        return ask
    if standing.settled and standing.unjudged:
        return f"yes before; now:<br/>{ask}"
    return "yes" if standing.settled else f"<b>no</b>; again:<br/>{ask}"


def _right() -> Any:
    """A unit stands at the end of its blank."""
    return style(8, alignment=2)


def _found(standing: Standing) -> str:
    latest = standing.latest
    more = f" <font size=7>({len(standing.earlier)} before)</font>" if standing.earlier else ""
    by = f", {escape(latest.by_whom)}" if latest.by_whom else ""
    return f"{latest.on}: <b>{escape(latest.words)}</b>{by}{more}"


def _order(sheet: StartSheet, width: float) -> list[Any]:
    """The order of work, and what the plan still asks for, above the first power: all of it comes before."""
    small, bold = style(8), style(8, bold=True)
    words = f"{', '.join(ORDER_OF_WORK)}. {ORDER_RULE}"
    said = [*section_head("Order of work", kept=False), Paragraph(escape(words), small), Spacer(0, 1 * mm)]
    if not sheet.to_do:
        return [KeepTogether([*said, Paragraph("Every line of the plan is settled.", small)])]
    rows: list[list[Any]] = [[Paragraph(word, bold) for word in ("The plan asks for", "By", "Done, day, by")]]
    for line in sheet.to_do:
        need = f"{escape(line.need)} <font size=7>({escape(line.status)})</font>"
        rows.append([Paragraph(need, small), Paragraph(escape(line.told_by), small), ""])
    return below(said, ruled(rows, [width * share for share in (0.5, 0.28, 0.22)], boxed=True), width)


def _sources(sheet: StartSheet) -> list[Any]:
    told = "; ".join(f"<b>{letter}</b> {escape(text)}" for text, letter in sheet.sources.items())
    order = escape(f"Order of work: {ORDER_SOURCE}; {UNDO_SOURCE}.")
    return [Spacer(0, 3 * mm), Paragraph(f"On whose word: {told}. {order}", style(7))]
