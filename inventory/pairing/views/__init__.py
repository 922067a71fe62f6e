"""Pages of pairs, of companions, and of a set going on the air."""

from inventory.pairing.views.depth import (
    bridge_page,
    bridge_set,
    pair_page,
    station,
)
from inventory.pairing.views.ledger import (
    disturb,
    disturbance,
    disturbance_correct,
    event_strike,
    ledger,
    neutralization,
    neutralization_correct,
    neutralize,
)
from inventory.pairing.views.mated import (
    companion_list,
    mated_add,
    mated_change,
    mated_page,
    mated_part_add,
    mated_part_change,
)
from inventory.pairing.views.null import null_finder
from inventory.pairing.views.on_air import on_air_add, on_air_correct, on_air_page
from inventory.pairing.views.pairs import (
    chassis_page,
    companion_add,
    companion_change,
    companion_compare,
    companion_kind_add,
    companion_kind_change,
    companion_page,
    comparison_correct,
    table,
    unit_page,
    wanted_pairs,
)

__all__ = [
    "bridge_page",
    "bridge_set",
    "chassis_page",
    "companion_add",
    "companion_change",
    "companion_compare",
    "companion_kind_add",
    "companion_kind_change",
    "companion_list",
    "companion_page",
    "comparison_correct",
    "disturb",
    "disturbance",
    "disturbance_correct",
    "event_strike",
    "ledger",
    "mated_add",
    "mated_change",
    "mated_page",
    "mated_part_add",
    "mated_part_change",
    "neutralization",
    "neutralization_correct",
    "neutralize",
    "null_finder",
    "on_air_add",
    "on_air_correct",
    "on_air_page",
    "pair_page",
    "station",
    "table",
    "unit_page",
    "wanted_pairs",
]
