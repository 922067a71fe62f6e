"""The pairing questions."""

from inventory.pairing.queries.ledger import LedgerLine, ledger_of, ledger_up_to, tube_stays
from inventory.pairing.queries.rows import ALL_STATES, COMPANION, UNIT, End, PairFilter, PairRow
from inventory.pairing.queries.station import StationView, station_view
from inventory.pairing.queries.table import companions_to_settle, pairing_table, pairs_open

__all__ = [
    "ALL_STATES",
    "COMPANION",
    "UNIT",
    "End",
    "LedgerLine",
    "PairFilter",
    "PairRow",
    "StationView",
    "companions_to_settle",
    "ledger_of",
    "ledger_up_to",
    "pairing_table",
    "pairs_open",
    "station_view",
    "tube_stays",
]
