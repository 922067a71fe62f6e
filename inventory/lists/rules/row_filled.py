"""Everything of a row that does not decide whether it is written: where it lies, what was paid, dates, readings."""

from inventory.holdings.rules.cells import Remark, says_ditto
from inventory.holdings.rules.date_codes import year_made
from inventory.holdings.rules.dates import DateReading, read_date
from inventory.holdings.rules.hazards import Hazard, find_hazards
from inventory.holdings.rules.prices import PriceReading, read_price
from inventory.lists.rules import fields as f
from inventory.lists.rules.kinds import sort_of_part
from inventory.lists.rules.one_of_each import by_readings
from inventory.lists.rules.quantities import Quantity, read_quantity
from inventory.lists.rules.row_cells import RowCells
from inventory.lists.rules.row_counts import Counted
from inventory.lists.rules.row_parts import TextPart, read_mate, read_place
from inventory.lists.rules.row_readings import read_readings, tester_alone
from inventory.lists.rules.row_result import WRITTEN, Away, Context, RowReading, RowRemark
from inventory.lists.rules.whereabouts import lender_in
from tubes.rules.stamp import StampAnswer

#: How a thing was acquired that belongs to somebody else.
ON_LOAN = "on loan"


def filled(
    row: RowCells, kind: str, what: str, stamp: StampAnswer, counted: Counted, serial: TextPart, context: Context,
    away: Away | None, lender: str = "",
) -> RowReading:  # fmt: skip
    """Everything of a row that does not decide whether it is written. ``lender``: whose it is, if it is borrowed."""
    placed = not (away and away.field == f.PLACE) and not (lender and lender_in(row.text(f.PLACE)))
    mate, place = _mate_and_place(row, serial, context, placed=placed)
    things = sum(group.count for group in counted.groups) if kind not in (f.PARTS, f.OTHERS) else 1
    readings = read_readings(row, things, context.is_double(stamp))
    groups, by_count = by_readings(counted.groups, readings)
    return RowReading(
        WRITTEN,
        kind=kind,
        model=_model(row, kind, what),
        number=row.text(f.NUMBER),
        quantity=counted.quantity,
        groups=groups,
        by_count=by_count,
        wanted=_wanted(row),
        condition=counted.condition,
        readings=readings,
        instrument=tester_alone(row),
        tested_on=_date(row, f.TESTED_ON, context),
        places=place.values,
        place_text=place.text,
        price=_price(row, f.PRICE, context),
        asked=_price(row, f.ASKED, context),
        insured=_price(row, f.INSURED, context),
        maker=row.text(f.MAKER),
        date_code=row.text(f.DATE_CODE),
        serial=serial.value,
        mate_serial=mate.value,
        mate_text=mate.text,
        acquired_from=_acquired_from(row) or lender,
        acquired_on=_date(row, f.ACQUIRED_ON, context),
        dated=_date(row, f.DATED, context),
        for_set=row.text(f.FOR_SET),
        note=row.text(f.NOTE),
        hazards=_hazards(row),
        register=({f.HOW: ON_LOAN} if lender else {})
        | {field: text for field in f.REGISTER if (text := row.text(field))},
        seen_on=_date(row, f.SEEN, context),
        missed_on=_date(row, f.MISSED, context),
        left_on=_date(row, f.LEFT_ON, context),
        own=context.own,
        sort=sort_of_part(row.text(f.KIND)) if kind in (f.PARTS, f.OTHERS) else "",
    )


def _mate_and_place(row: RowCells, serial: TextPart, context: Context, *, placed: bool) -> tuple[TextPart, TextPart]:
    """The serial of the mate and the place, with what there is to say of them. ``placed``: the place is one."""
    read = (whole, whole) if context.own else (read_mate, read_place)
    mate = read[0](row.text(f.MATE))
    place = read[1](row.text(f.PLACE, " / ")) if placed else TextPart("")
    row.remark(f.MATE, mate.remark)
    if mate.value and serial.value and mate.value.casefold() != serial.value.casefold():
        reason = f"the mate bears {mate.value}, this one {serial.value}: neither is corrected"
        row.remark(f.MATE, Remark(reason, "compare the plates"))
    row.remark(f.PLACE, place.remark)
    return mate, place


def _model(row: RowCells, kind: str, what: str) -> str:
    """The model; what the thing is may stand in the tube column of a mixed list."""
    if row.text(f.MARK):
        return row.text(f.MODEL) or ("" if kind == f.TUBES else what)
    return what


def _wanted(row: RowCells) -> Quantity | None:
    if not row.written(f.WANTED).strip():
        return None
    wanted = read_quantity(row.written(f.WANTED))
    row.remark(f.WANTED, wanted.remark)
    return wanted


def _date(row: RowCells, field: str, context: Context) -> DateReading | None:
    if not row.written(field).strip():
        return None
    found = read_date(row.written(field), context.today, context.order)
    row.remark(field, found.remark)
    return found


def _price(row: RowCells, field: str, context: Context) -> PriceReading | None:
    if not row.written(field).strip():
        return None
    found = read_price(row.written(field), context.dollar, context.bare, row.heading(field), context.currency or "")
    row.remark(field, found.remark)
    return found


def _acquired_from(row: RowCells) -> str:
    text = row.text(f.FROM)
    if says_ditto(text):
        row.remark(f.FROM, Remark("refers to the row above, kept as written", "write the source itself"))
    return text


def _hazards(row: RowCells) -> tuple[Hazard, ...]:
    hazards = find_hazards(row.words(), year_made(row.text(f.DATE_CODE)))
    for hazard in hazards:
        heading, cell = row.bearing(hazard.word)
        row.remarks.append(RowRemark(heading, cell, f"{hazard.reason}: mark {hazard.name} proposed", hazard.caution))
    return hazards


def whole(text: str) -> TextPart:
    return TextPart(text, (text,) if text else ())
