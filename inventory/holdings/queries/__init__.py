"""Questions about what is owned and where it is."""

from inventory.holdings.queries.register import (
    items_in,
    latest_move_day,
    movements_of,
    places_with_counts,
    places_within,
    tube_by_tag,
    tubes_here,
)

__all__ = [
    "items_in",
    "latest_move_day",
    "movements_of",
    "places_with_counts",
    "places_within",
    "tube_by_tag",
    "tubes_here",
]
