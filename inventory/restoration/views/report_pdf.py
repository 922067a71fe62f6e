"""The report of a restoration on paper, with its photographs."""

from collections.abc import Iterator, Sequence
from typing import Any
from xml.sax.saxutils import escape

from django.utils import timezone
from reportlab.lib.units import mm
from reportlab.platypus import PageBreak, Paragraph, Spacer

from inventory.house.pdf_pages import (
    build,
    caution_bar,
    head_with_code,
    paragraph,
    photographs,
    ruled,
    section_head,
    style,
    width_of,
)
from inventory.restoration.models import Plan, Work
from inventory.restoration.queries.progress import Swap
from inventory.restoration.queries.report import Report, SetReport
from inventory.restoration.queries.start_sheet import SheetRow
from inventory.restoration.views.start_sheet_pdf import supply_told

MOST_PICTURES = 40  # of one set on paper: each is opened and made smaller while somebody waits
LAW = "Local codes and licensed practice come first. A hazard that nobody marked may still be in it."


def report_pdf(report: Report, address: str, *, paper: str, by: str) -> bytes:
    """The report on as many pages as it takes, each set beginning on a page of its own. ``address``: of its page."""
    width = width_of(paper)
    story: list[Any] = []
    for number, one in enumerate(report.sets):
        story += [*([PageBreak()] if number else []), *_set(report, one, address, width)]
    printed = f"{report.plan}, report, printed {timezone.localtime():%Y-%m-%d %H:%M} by {by}"
    return build(story, paper=paper, title=f"Report: {report.plan}", printed=printed)


def _set(report: Report, one: SetReport, address: str, width: float) -> Iterator[Any]:
    plan, chassis = report.plan, one.chassis
    state = f"{plan.state}{'' if plan.state == Plan.FINISHED else ', as far as it is'}"
    days = f"begun {report.progress.since or 'on a day that nobody wrote down'}, finished {plan.ended or 'not yet'}"
    place = f"; kept in {chassis.item.place}" if chassis.item.place else ""
    head = [
        Paragraph(f"Report: {escape(str(chassis.model))}", style(18, bold=True)),
        Paragraph(escape(f"{chassis.model.kind}, {chassis.serial_text}, {chassis.tag}{place}"), style(11)),
        Paragraph(escape(f"{plan}: {state}; {days}"), style(9)),
    ]  # fmt: skip
    yield from (head_with_code(head, address, width), Spacer(0, 2 * mm))
    yield caution_bar(one.sheet.cautions or ("No caution is recorded of this model.",), width, LAW)
    yield from _words(chassis.model.note, chassis.note)
    yield from _hazards(one)
    if supply := supply_told(one.sheet):
        yield from (*section_head("Supplies, and tubes of another type in it"), *supply)
    yield from section_head("How it was found")
    yield from _words(plan.state_found) if plan.state_found else _words("Nobody wrote it down.")
    yield from section_head("What was done", one.reversible)
    yield _works(one.works, width) if one.works else paragraph("No work is recorded.")
    if one.lines:
        yield paragraph(f"Lines of the plan that are done: {'; '.join(f'{row}, {row.done_on}' for row in one.lines)}.")
    yield from section_head("Tubes in and out")
    yield _swaps(one.swaps, width) if one.swaps else paragraph("No tube was changed, as far as is recorded.")
    if one.since:
        yield from section_head("Tubes in and out since it was finished")
        yield _swaps(one.since, width)
    yield from section_head("Tubes in it now")
    sockets = [
        f"<b>{escape(s.row.position.mark)}</b> {_type(s.row.position)}: {escape(s.held)}" for s in one.sheet.sockets
    ]
    yield Paragraph("; ".join(sockets) or "No position is recorded.", style(9))
    yield from section_head("What was found")
    for title, rows in one.found.items():
        yield from (_below(title), _findings(rows, width), Spacer(0, 2 * mm))
    if not one.found:
        yield paragraph("Nothing was written down at the start sheet.")
    if one.unchecked:
        yield paragraph(f"Not checked, or not written down: {'; '.join(row.check.words for row in one.unchecked)}.", 8)
    yield from section_head("What remains doubtful")
    yield from _words(plan.left_doubtful or "The keeper wrote nothing.")
    yield from _left(plan, one)
    yield from section_head("Photographs", str(one.pictured or ""))
    yield from _pictures(one, width)
    if one.papers:
        yield paragraph(f"Papers of it, in the register: {'; '.join(str(paper) for paper in one.papers)}.")
    yield from section_head("On whose word")
    letters = "; ".join(f"<b>{letter}</b> {escape(text)}" for text, letter in one.sheet.sources.items())
    origins = "; ".join(one.origins) or "no text is named"
    yield Paragraph(f"Figures of the positions and of weak parts: {escape(origins)}. Checks: {letters}.", style(7))


def _left(plan: Plan, one: SetReport) -> Iterator[Any]:
    """What is open; of a finished plan, what was when it was finished."""
    if not plan.is_finished:
        for line in one.sheet.to_do:
            yield paragraph(f"• {line.need} ({line.status}). {' '.join(line.reasons)}")
        return
    yield paragraph(plan.finished_words)
    for text in one.left:
        yield paragraph(f"• {text}")


def _pictures(one: SetReport, width: float) -> Iterator[Any]:
    """The first photographs of each time, an even share of what goes on paper; the others are named."""
    if not one.pictured:
        yield paragraph("There is no photograph of this set.")
        return
    share = MOST_PICTURES if one.pictured <= MOST_PICTURES else MOST_PICTURES // len(one.photographs)
    for title, papers in one.photographs.items():
        yield _below(title)
        named = [f"{paper}, {paper.dated or 'without a date'}" for paper in papers]
        files = ((paper.file,) for paper in papers)
        yield from photographs([*zip(files, named, strict=True)][:share], width)
        if rest := named[share:]:
            yield paragraph(f"{len(rest)} more, in the register: {'; '.join(rest)}.", 8)


def _below(title: str) -> Paragraph:
    return Paragraph(f"<b>{escape(title)}</b>", style(9, keepWithNext=1, spaceBefore=4))


def _words(*texts: str) -> list[Any]:
    """What people wrote, each of its paragraphs by itself."""
    return [paragraph(part) for text in texts for part in text.splitlines() if part.strip()]


def _type(position: Any) -> str:
    return escape(position.type.name) if position.type else "?"


def _hazards(one: SetReport) -> list[Any]:
    told = [f"• <b>{escape(h.hazard)}</b>, {escape(h.told)}. {escape(h.care)}" for h in one.sheet.facts.hazards]
    told += [f"{escape(mark.hazard)}: looked for on {mark.on}, not found." for mark in one.sheet.ruled_out]
    rows = [Paragraph(text, style(9)) for text in told or ["None is marked; that says little of an old set."]]
    return [*section_head("Hazards still in it"), *rows]


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float], width: float) -> Any:
    """Cells are marked up already."""
    small, bold = style(8), style(8, bold=True)
    cells = [[Paragraph(word, bold) for word in heads], *([Paragraph(cell, small) for cell in row] for row in rows)]
    return ruled(cells, [width * share for share in shares])


def _works(works: Sequence[Work], width: float) -> Any:
    rows = []
    for work in works:
        by = f" <font size=7>by {escape(work.by_whom)}</font>" if work.by_whom else ""
        note = f"<br/><font size=7>{escape(work.note)}</font>" if work.note else ""
        shown = "; ".join(str(paper) for paper in work.photographs.all())
        pictures = f"<br/><font size=7>Photographs: {escape(shown)}</font>" if shown else ""
        read = f"{escape(work.before or '?')} → {escape(work.after or '?')}" if work.before or work.after else ""
        rows.append([
            str(work.on), f"<b>{escape(work.words)}</b>{by}{note}{pictures}", escape(work.taken_out),
            escape(_put_in(work)), read, escape(work.get_reversible_display()),
        ])  # fmt: skip
    heads = ("Day", "What was done", "Out", "In, from where", "Before → after", "Reversible")
    return _table(heads, rows, (0.11, 0.29, 0.18, 0.18, 0.13, 0.11), width)


def _put_in(work: Work) -> str:
    thing = f"{work.put_in.tag} {work.put_in.words}" if work.put_in else ""
    used = f"{work.used} of it" if work.used else ""
    return ", ".join(text for text in (thing, used, f"from {work.came_from}" * bool(work.came_from)) if text)


def _swaps(swaps: Sequence[Swap], width: float) -> Any:
    rows = []
    for swap in swaps:
        out, new = swap.went_out, swap.came_in
        gone = f"{_tube(out)}<br/><font size=7>{escape(swap.out_reading)}</font>" if out else "none was there"
        came = (
            f"{_tube(new)}{escape(f', {swap.came_from}' if swap.came_from else '')}" if new else "nothing in its place"
        )
        read = [escape(swap.before or "not read"), escape(swap.after or "not read")] if new else ["", ""]
        rows.append([f"<b>{escape(swap.fitting.position.mark)}</b>", str(swap.on or ""), gone, came, *read])
    heads = ("Position", "Day", "Out", "In, from where", "Before", "After")
    return _table(heads, rows, (0.1, 0.11, 0.22, 0.25, 0.16, 0.16), width)


def _tube(fitting: Any) -> str:
    return escape(f"{fitting.tube.tag} {fitting.tube.type or fitting.tube.marked}")


def _findings(rows: Sequence[SheetRow], width: float) -> Any:
    told = []
    for row in rows:
        standing = row.standing
        assert standing is not None
        lines = [f"<b>{escape(standing.latest.words)}</b>{_who(standing.latest)}"]
        lines += [f"before: {escape(one.words)}{_who(one)}" for one in standing.earlier]
        letter = f"&nbsp;<super size=6>{row.letter}</super>" if row.letter else ""
        told.append([f"{escape(row.check.words)}{letter}", escape(row.check.expected), "<br/>".join(lines)])
    return _table(("Check", "Expected", "Found, the latest first"), told, (0.4, 0.2, 0.4), width)


def _who(finding: Any) -> str:
    said = ", ".join(text for text in (str(finding.on), finding.by_whom) if text)
    note = f" <font size=7>{escape(finding.note)}</font>" if finding.note else ""
    return f" <font size=7>{escape(said)}</font>{note}"
