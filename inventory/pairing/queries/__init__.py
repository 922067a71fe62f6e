"""The pairing questions."""

from inventory.pairing.queries.bridge import BridgeLine, Instead, bridge_of
from inventory.pairing.queries.depth import (
    changed_then,
    last_record,
    pair_in_depth,
    setting_again,
    stays_at_null,
    tubes_then,
)
from inventory.pairing.queries.dial import WITH_RECORD, asked_of, its_null, nulls_by, what_follows
from inventory.pairing.queries.lines import LedgerLine
from inventory.pairing.queries.many import OpenPairs, PairList, companions_to_settle, pair_list, pairs_open
from inventory.pairing.queries.mated import Mated, MatedRow, mated_sets, mated_to_settle
from inventory.pairing.queries.mates import mates_of_many
from inventory.pairing.queries.on_air import on_air
from inventory.pairing.queries.on_air_record import (
    filament_check,
    on_air_records,
    record_before,
)
from inventory.pairing.queries.rows import ALL_STATES, COMPANION, UNIT, End, PairFilter, PairRow, chassis_on
from inventory.pairing.queries.station import StationFilter, StationView, station_view
from inventory.pairing.queries.table import pairing_table
from inventory.pairing.queries.told import Told, told_of

__all__ = [
    "ALL_STATES",
    "COMPANION",
    "UNIT",
    "WITH_RECORD",
    "BridgeLine",
    "End",
    "Instead",
    "LedgerLine",
    "Mated",
    "MatedRow",
    "OpenPairs",
    "PairFilter",
    "PairList",
    "PairRow",
    "StationFilter",
    "StationView",
    "Told",
    "asked_of",
    "bridge_of",
    "changed_then",
    "chassis_on",
    "companions_to_settle",
    "filament_check",
    "its_null",
    "last_record",
    "mated_sets",
    "mated_to_settle",
    "mates_of_many",
    "nulls_by",
    "on_air",
    "on_air_records",
    "pair_in_depth",
    "pair_list",
    "pairing_table",
    "pairs_open",
    "record_before",
    "setting_again",
    "station_view",
    "stays_at_null",
    "told_of",
    "tubes_then",
    "what_follows",
]
