"""Pages of the holdings."""

from inventory.holdings.views.counts import (
    count_begin,
    count_close,
    count_drop,
    count_list,
    count_page,
    count_scan,
    count_tick,
    place_move,
    things_move,
)
from inventory.holdings.views.facts import (
    fact_add,
    fact_strike,
)
from inventory.holdings.views.hazards import (
    hazard_add,
    hazard_settle,
    item_hazards,
)
from inventory.holdings.views.parts import (
    part_add,
    part_change,
    part_list,
    part_page,
)
from inventory.holdings.views.places import (
    place_add,
    place_change,
    place_list,
    place_page,
)
from inventory.holdings.views.register import (
    item_move,
    tube_add,
    tube_change,
)
from inventory.holdings.views.settling import (
    tubes_settle,
)
from inventory.holdings.views.shelf import (
    shelf,
    shelf_take_back,
)

__all__ = [
    "count_begin",
    "count_close",
    "count_drop",
    "count_list",
    "count_page",
    "count_scan",
    "count_tick",
    "fact_add",
    "fact_strike",
    "hazard_add",
    "hazard_settle",
    "item_hazards",
    "item_move",
    "part_add",
    "part_change",
    "part_list",
    "part_page",
    "place_add",
    "place_change",
    "place_list",
    "place_move",
    "place_page",
    "shelf",
    "shelf_take_back",
    "things_move",
    "tube_add",
    "tube_change",
    "tubes_settle",
]
