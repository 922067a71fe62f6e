"""The sale list as page and PDF show it, proposed or kept; for bidders without values and reserves."""

from inventory.house.printed import Block, Caution, Cell, Printed, Section, Words, table
from inventory.valuation.queries.lots import LotLine, SaleList
from inventory.valuation.rules.bases import BASES, FORCED_SALE
from inventory.valuation.wording.papers.common import (
    LAW,
    NO_EVIDENCE,
    NOT_CERTIFIED,
    figure,
    heading_lines,
    meaning_section,
    opening,
    tags_told,
)

SOLD_AS_IS = (
    "Sold as it is and where it is, untested unless a test is named. Inside sets are high voltages and capacitors that "
    "keep their charge: nothing is switched on or opened by whoever does not know how.",
)
NO_RESERVE = "no reserve is reckoned where something has no evidence"
LARGE_LOTS = 12  # things of a lot that are named one by one


def lots_printed(found: SaleList) -> Printed:
    """The lots, then what is left out and why."""
    sections = [_lots(found)]
    if found.left_out and not found.bidders:
        rows = [(Cell(what), Cell(why)) for what, why in found.left_out]
        sections.append(Section("Not on the list", (table((("What", 0.4), ("Why", 0.6)), rows),)))
    if found.stated and not found.bidders:
        basis = BASES[FORCED_SALE]
        forced = f"In a forced sale: {basis.meaning} ({basis.source}). {found.market}"
        if any(lot.forced is not None and lot.forced == lot.value for lot in found.lots):
            forced += " Where it equals the value, both go by sales of one venue."
        sections += [Section("What a forced sale is", (Words((forced,)),)), meaning_section(found.stated)]
    blocks: tuple[Block, ...] = (Caution(SOLD_AS_IS, LAW),)
    if not found.bidders:
        blocks = (*(opening(found.stated) if found.stated else (Words((NOT_CERTIFIED,)),)), *blocks)
    title = f"Sale list: {found.sale.name}" if found.sale else "Sale list, proposed"
    return Printed(title, tuple(_lines(found)), tuple(sections), blocks)


def _lines(found: SaleList) -> list[str]:
    sale = found.sale
    lines = []
    if sale:
        when = f"planned for {sale.on}" if sale.on else "on a day that is not set"
        lines.append(f"{when[0].upper()}{when[1:]}{f', {sale.venue}' if sale.venue else ''}.")
    if found.seller:
        lines.append(f"Seller: {found.seller}.")
    if found.bidders:
        return lines
    if found.stated:
        lines += heading_lines(found.stated)
    elif sale:
        basis = BASES[sale.basis].title if sale.basis in BASES else sale.basis
        lines.append(f"Values as of {sale.valued_on}, {basis}, in {sale.currency}, kept as they were then.")
    lines.append(f"Reserve: {found.share.normalize():f} % of the low end, in round figures; kept from bidders.")
    if found.commission is not None:
        lines.append(
            f"Commission {found.commission.normalize():f} %: of all reserves, {figure(found.reserves)}, "
            f"{figure(found.after_commission)} {found.currency} would be left."
        )
    return lines


def _lots(found: SaleList) -> Section:
    value, sold = f"Value, {found.currency}", any(lot.kept and lot.kept.ended_on for lot in found.lots)
    columns = [("Photograph", 0.14), ("Lot", 0.08), ("What", 0.42)]
    if not found.bidders:
        columns += [(value, 0.14), ("In a forced sale", 0.11), ("Reserve", 0.11)]
    if sold:
        columns.append(("Became", 0.14))
    rows = [_row(lot, found, sold) for lot in found.lots]
    if not rows:
        return Section("Lots", (Words(("Nothing here can be sold as it stands.",)),))
    total: list[Cell] = []
    if not found.bidders:
        total = [Cell() for _ in columns]
        total[2], total[5] = Cell("All reserves"), Cell(figure(found.reserves))
    many = f"{len(rows)} lot{'s' if len(rows) > 1 else ''}"
    return Section("Lots", (table(columns, rows, figures=(value, "In a forced sale", "Reserve"), total=total),), many)


def _row(lot: LotLine, found: SaleList, sold: bool) -> list[Cell]:
    picture = next((one.photograph for one in lot.pieces if one.photograph), None)
    row = [Cell(picture=picture), Cell(str(lot.number)), _what(lot)]
    if not found.bidders:
        ends = f"{figure(lot.low)} to {figure(lot.high)}"
        small = [ends] if lot.low is not None and lot.low != lot.high else []
        small += [f"{lot.without} of it without evidence"] if lot.without and lot.value is not None else []
        row += [
            Cell(figure(lot.value, NO_EVIDENCE), tuple(small)), Cell(figure(lot.forced, "not told")),
            Cell(figure(lot.reserve, "ask the keeper"), (NO_RESERVE,) if lot.without and lot.reserve is None else ()),
        ]  # fmt: skip
    if sold:
        row.append(_became(lot))
    return row


def _what(lot: LotLine) -> Cell:
    told = []
    if len(lot.pieces) > LARGE_LOTS:
        told.append(tags_told(lot.tags))
    elif len(lot.pieces) > 1:
        told.append("; ".join(f"{one.name} {one.tag}" for one in lot.pieces))
    else:
        told += [lot.tags[0] if lot.tags else "", lot.pieces[0].condition if lot.pieces else ""]
        told.append(f"{lot.tested[0].upper()}{lot.tested[1:]}." if lot.tested else "")
    told.append(f"Hazards: {', '.join(lot.hazards)}." if lot.hazards else "")
    told.append(f"Weight: {lot.weight}." if lot.weight else "")
    address = lot.pieces[0].item.get_absolute_url() if lot.pieces else ""
    return Cell(lot.title, tuple(filter(None, told)), address=address)


def _became(lot: LotLine) -> Cell:
    kept = lot.kept
    if kept is None or not kept.ended_on:
        return Cell("offered")
    became = f"sold for {lot.sold_for}" if lot.sold_for else str(kept.state)
    venue = f", {kept.venue}" if kept.venue and kept.state == kept.SOLD else ""
    return Cell(became, (f"{kept.ended_on}{venue}",))
