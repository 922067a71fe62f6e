"""Pages of the holdings."""

from inventory.holdings.pages.register import (
    ITEM_PAGES,
    item_back,
    item_move,
    page_of,
    place_add,
    place_change,
    place_list,
    place_page,
    tube_add,
    tube_change,
)

__all__ = [
    "ITEM_PAGES",
    "item_back",
    "item_move",
    "page_of",
    "place_add",
    "place_change",
    "place_list",
    "place_page",
    "tube_add",
    "tube_change",
]
