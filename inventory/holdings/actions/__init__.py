"""Changes of what is owned and where it is. One function a change: check, lock, write the row and its history."""

from inventory.holdings.actions.register import (
    PREFIXES,
    add_tubes,
    change_tube,
    give_tags,
    leave_place,
    lend,
    let_go,
    move,
    register,
    save_place,
    take_back,
)

__all__ = [
    "PREFIXES",
    "add_tubes",
    "change_tube",
    "give_tags",
    "leave_place",
    "lend",
    "let_go",
    "move",
    "register",
    "save_place",
    "take_back",
]
