"""Questions about what is owned and where it is."""

from inventory.holdings.queries.counts import (
    LENT,
    SHOWN,
    THING,
    Tally,
    counts_of_place,
    differing_lines,
    draw_sample,
    lent_lines,
    lines_of,
    open_lines,
    stock_takes,
    tag_in,
    tally_of,
    things_named,
    things_to_count,
    with_whereabouts,
)
from inventory.holdings.queries.parts import (
    CARE,
    hazards_of,
    part_lots,
)
from inventory.holdings.queries.register import (
    items_in,
    latest_move_day,
    movements_of,
    places_with_counts,
    places_within,
    tube_by_tag,
    tubes_here,
)
from inventory.holdings.queries.shelf import (
    ShelfReading,
    shelf_reading,
)

__all__ = [
    "CARE",
    "LENT",
    "SHOWN",
    "THING",
    "ShelfReading",
    "Tally",
    "counts_of_place",
    "differing_lines",
    "draw_sample",
    "hazards_of",
    "items_in",
    "latest_move_day",
    "lent_lines",
    "lines_of",
    "movements_of",
    "open_lines",
    "part_lots",
    "places_with_counts",
    "places_within",
    "shelf_reading",
    "stock_takes",
    "tag_in",
    "tally_of",
    "things_named",
    "things_to_count",
    "tube_by_tag",
    "tubes_here",
    "with_whereabouts",
]
