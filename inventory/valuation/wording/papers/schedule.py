"""The insurance schedule as page and PDF show it."""

from inventory.holdings.models import Item, Paper
from inventory.house.printed import Block, Cell, Pictures, Printed, Rows, Section, Words, table
from inventory.valuation.queries.schedule_lines import Building, Schedule, ScheduleLine
from inventory.valuation.queries.things import NO_PLACE
from inventory.valuation.rules.cover import NOTHING, Cover
from inventory.valuation.wording.papers.common import (
    NO_EVIDENCE,
    figure,
    heading_lines,
    meaning_section,
    named,
    not_ours,
    opening,
    tags_told,
)

MOST_PICTURES, MOST_OF_ONE = 200, 6  # on a paper, of each building; of each thing
COLUMNS = (
    ("What", 0.27), ("Serial, tags", 0.14), ("Condition, completeness", 0.27),
    ("Got, proof", 0.13), ("Value", 0.11), ("Insured", 0.16),
)  # fmt: skip
BARE_COLUMNS = (("What", 0.34), ("Serial, tags", 0.2), ("Condition", 0.2), ("Place", 0.16), ("Insured", 0.1))


def schedule_printed(found: Schedule) -> Printed:
    """Totals first, then the buildings, then what is without evidence."""
    stated = found.stated
    sections = [_sums(found), *(_building(one, stated.currency) for one in found.buildings if one.lines)]
    if found.without:
        sections.append(_without(found))
    for one in found.buildings:
        sections += _photographs(found, one)
    if stated.not_converted:
        sections.append(
            Section("Insured sums that are not in the figures", (Words(stated.not_converted, points=True),))
        )
    sections += not_ours(
        found.borrowed, "Here, and not ours", "on loan: in no sum; agree with its owner whose policy covers it"
    )
    sections.append(meaning_section(stated))
    return Printed("Insurance schedule", heading_lines(stated), tuple(sections), opening(stated))


def _sums(found: Schedule) -> Section:
    rows = [
        (Cell(_name(one.name)), Cell(figure(one.amount)), Cell(figure(one.insured)),
         Cell(cover(one.cover)), Cell(str(len(one.without) or "")))
        for one in found.buildings
    ]  # fmt: skip
    total = (
        Cell("In all"), Cell(figure(found.total)), Cell(figure(found.insured)),
        Cell(cover(found.cover)), Cell(str(len(found.without) or "")),
    )  # fmt: skip
    columns = (
        ("Building", 0.3), (f"Value, {found.stated.currency}", 0.17), ("Insured for", 0.17), ("Cover", 0.23),
        ("Lines without an amount", 0.13),
    )  # fmt: skip
    heads = {name for name, _ in columns[1:]} - {"Cover"}
    spread = (
        f"{figure(found.stated.low)} {found.stated.currency} if every thing came out at its low end, "
        f"{figure(found.stated.high)} at its high end. That all come out low, or all high, is unlikely."
    )
    note = (
        "Insured is what the register says for single things; a policy for the whole is not in it. What is insured for "
        "more than its value makes up for nothing else that is insured for less."
    )
    return Section("By building", (table(columns, rows, figures=heads, total=total), Words((spread, note), small=True)))


def cover(found: Cover) -> str:
    """Whether what is insured covers the value, in words. What one thing has too much makes up for no other."""
    told = []
    if found.compared:
        rest = f", {figure(found.not_insured)} of it not insured singly" if found.not_insured else ""
        told += [f"under-insured by {figure(found.under)}{rest}"] if found.under else []
        told += [f"over-insured by {figure(found.over)}"] if found.over else []
        told = told or ["insured for its value"]
    elif found.not_insured:
        told = ["not insured singly"]
    if found.not_compared:
        sums = figure(sum(found.not_compared, NOTHING))
        told.append(f"{sums} insured without evidence of a value, not compared")
    return "; ".join(told)


def _name(building: str) -> str:
    return "In no place" if building == NO_PLACE else building


def _building(one: Building, currency: str) -> Section:
    insured = f"insured for {figure(one.insured)}" if one.insured else "nothing in it is insured singly"
    sums = f"{figure(one.amount)} {currency}, {insured}"
    return Section(_name(one.name), (_table(one, currency),), sums)


def _photographs(found: Schedule, building: Building) -> list[Section]:
    """Photographs of what has a line, and which sets, units, books and dear tubes have none."""
    every = (*building.every, *building.bare)
    shown = [
        (paper, f"{piece.tag} {piece.name}{f', {piece.serial}' if piece.serial else ''}: {_paper(paper)}")
        for line in every for piece in line.pieces for paper in piece.photographs[-MOST_OF_ONE:]
    ]  # fmt: skip
    bare = [
        f"{line.first.name} {tags_told(line.tags)}"
        for line in every
        if not line.first.photographs
        and (line.first.figure.kind != Item.TUBE or (line.amount or 0) >= found.singled_out)
    ]  # fmt: skip
    blocks: list[Block] = []
    if shown:
        blocks.append(Pictures(tuple(shown[:MOST_PICTURES]), max(0, len(shown) - MOST_PICTURES)))
    if bare:
        blocks.append(Words((f"No photograph of: {'; '.join(bare)}.",), small=True))
    return [Section(f"Photographs: {_name(building.name)}", tuple(blocks))] if blocks else []


def _paper(paper: Paper) -> str:
    return f"{paper}{f', {paper.dated}' if paper.dated else ''}"


def _table(building: Building, currency: str) -> Rows:
    value = f"Value, {currency}"
    columns = tuple((value if head == "Value" else head, share) for head, share in COLUMNS)
    total = [Cell() for _ in columns]
    total[0], total[-2], total[-1] = Cell(f"{_name(building.name)}, in all"), Cell(figure(building.amount)), Cell(
        figure(building.insured)
    )  # fmt: skip
    return table(columns, map(_row, building.lines), figures=(value, "Insured"), total=total)


def _row(line: ScheduleLine) -> tuple[Cell, ...]:
    first = line.first
    below = first.figure.place.partition(" / ")[2]
    got = (line.acquired, f"paid {first.paid}" if first.paid else "", *first.proofs)
    return (
        named(first, first.maker, first.model_kind, below, first.away, count=len(line.pieces)),
        Cell(first.serial or tags_told(line.tags), (tags_told(line.tags),) if first.serial else ()),
        Cell(first.figure.grade, _complete(line)),
        Cell("", tuple(filter(None, got))), _value(line), _insured(line),
    )  # fmt: skip


def _complete(line: ScheduleLine) -> tuple[str, ...]:
    told = [line.first.condition if len(line.pieces) == 1 else ""]
    if line.holds:
        told.append(f"With it: {'; '.join(line.holds)}.")
    if line.goes_with:
        told.append(f"Belongs with: {'; '.join(line.goes_with)}.")
    return tuple(filter(None, told))


def _value(line: ScheduleLine) -> Cell:
    one, many = line.first.figure, len(line.pieces)
    if line.contained:
        return Cell("", (f"in the value of {line.contained}",))
    small = []
    if line.itself is None:
        small.append("its tubes and units; of the set itself there is no evidence")
    else:
        small.append(f"{figure(one.low)} to {figure(one.high)}{' each' if many > 1 else ''}")
        small.append(f"{one.comparables} sale{'s' if one.comparables != 1 else ''}")
        if line.held:
            small.append(f"{figure(line.held)} of it for what stands in it")
    return Cell(figure(line.amount), tuple(small))


def _insured(line: ScheduleLine) -> Cell:
    if line.insured is None:
        return Cell("not singly")
    told = cover(line.cover)
    return Cell(figure(line.insured), (told,) if told and not line.contained else ())


def _without(found: Schedule) -> Section:
    rows = []
    for line in found.without:
        first = line.first
        inside = f"in {first.figure.within}" if first.figure.within else ""
        rows.append((
            named(first, first.maker, first.model_kind, inside, first.away, count=len(line.pieces)),
            Cell(first.serial or tags_told(line.tags), (tags_told(line.tags),) if first.serial else ()),
            Cell(first.figure.grade, tuple(filter(None, (
                first.figure.at_most, first.condition if len(line.pieces) == 1 else "",
            )))),
            Cell(first.figure.place or NO_PLACE), Cell(figure(line.insured)),
        ))  # fmt: skip
    hint = (
        f"{NO_EVIDENCE} of a price is noted, or none that tells what such a grade fetches: these are in no sum, and "
        "are not worth nothing"
    )
    return Section("Without an amount", (table(BARE_COLUMNS, rows, figures=("Insured",)),), hint)
