"""The demo's table of price evidence, read as a keeper's list of prices is."""

from inventory.demo.actions.finds import Desk
from inventory.demo.actions.tables import Row
from inventory.valuation.actions import row_of, save_evidence
from inventory.valuation.rules.entry import COLUMNS, Entry, read_entry


def add_price(row: Row, desk: Desk) -> None:
    """Write a row of evidence. Raises ValueError naming the cell that cannot be taken."""
    read = read_entry(row.cells, desk.last_day)
    if not isinstance(read, Entry):
        raise row.fault(read[0].column, read[0].reason)
    save_evidence(row_of(read), today=desk.last_day, by=desk.by, besides=True)


PRICE_TABLES = (("prices", add_price, " ".join((*COLUMNS, "arms_length"))),)
