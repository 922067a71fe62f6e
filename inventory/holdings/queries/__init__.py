"""Questions about what is owned and where it is."""

from inventory.holdings.queries.counts import (
    SHOWN,
    Tally,
    counts_of_place,
    differing_lines,
    draw_sample,
    lent_lines,
    lines_of,
    open_lines,
    stock_takes,
    tag_in,
    tags_meant,
    tally_of,
    things_named,
    things_to_count,
    with_whereabouts,
)
from inventory.holdings.queries.facts import (
    FACT_COLUMNS,
    bears_number,
    fact_cells,
    numbered,
    readings_told,
    with_own_number,
)
from inventory.holdings.queries.parts import (
    marks_of,
    part_lots,
)
from inventory.holdings.queries.places import (
    children_with_counts,
    former_names,
    place_now,
    place_scanned,
    places_with_counts,
)
from inventory.holdings.queries.register import (
    AT_HAND,
    items_in,
    latest_move_day,
    movements_of,
    places_within,
    tag_of,
    tube_by_tag,
    tubes_here,
)
from inventory.holdings.queries.settling import (
    unsettled_of,
)
from inventory.holdings.queries.shelf import (
    ShelfReading,
    shelf_reading,
    shelf_readings,
    types_begun,
)
from inventory.holdings.queries.wants import (
    open_wants,
    wants_by_type,
    wants_in_words,
)

__all__ = [
    "AT_HAND",
    "FACT_COLUMNS",
    "SHOWN",
    "ShelfReading",
    "Tally",
    "bears_number",
    "children_with_counts",
    "counts_of_place",
    "differing_lines",
    "draw_sample",
    "fact_cells",
    "former_names",
    "items_in",
    "latest_move_day",
    "lent_lines",
    "lines_of",
    "marks_of",
    "movements_of",
    "numbered",
    "open_lines",
    "open_wants",
    "part_lots",
    "place_now",
    "place_scanned",
    "places_with_counts",
    "places_within",
    "readings_told",
    "shelf_reading",
    "shelf_readings",
    "stock_takes",
    "tag_in",
    "tag_of",
    "tags_meant",
    "tally_of",
    "things_named",
    "things_to_count",
    "tube_by_tag",
    "tubes_here",
    "types_begun",
    "unsettled_of",
    "wants_by_type",
    "wants_in_words",
    "with_own_number",
    "with_whereabouts",
]
