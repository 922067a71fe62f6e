"""The pairing questions."""

from inventory.pairing.queries.depth import bridge_of, filament_check, on_air, on_air_remarks, pair_in_depth
from inventory.pairing.queries.ledger import LedgerLine, ledger_of, ledger_up_to, tube_stays
from inventory.pairing.queries.rows import ALL_STATES, COMPANION, UNIT, End, PairFilter, PairRow
from inventory.pairing.queries.station import StationView, station_view
from inventory.pairing.queries.table import companions_to_settle, mates_in_words, pairing_table, pairs_open

__all__ = [
    "ALL_STATES",
    "COMPANION",
    "UNIT",
    "End",
    "LedgerLine",
    "PairFilter",
    "PairRow",
    "StationView",
    "bridge_of",
    "companions_to_settle",
    "filament_check",
    "ledger_of",
    "ledger_up_to",
    "mates_in_words",
    "on_air",
    "on_air_remarks",
    "pair_in_depth",
    "pairing_table",
    "pairs_open",
    "station_view",
    "tube_stays",
]
