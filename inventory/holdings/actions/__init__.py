"""Changes of what is owned and where it is. One function a change: check, lock, write the row and its history."""

from inventory.holdings.actions.counts import (
    REST_LEFT,
    REST_MISSING,
    begin_count,
    change_place,
    close_count,
    drop_count,
    mark_seen,
    move_place,
    scan,
    tick,
    turned_up,
)
from inventory.holdings.actions.facts import (
    add_facts,
)
from inventory.holdings.actions.hazards import (
    note_hazards,
    settle_hazard,
)
from inventory.holdings.actions.locking import (
    for_change,
    hold_things,
    locked,
    locked_all,
)
from inventory.holdings.actions.parting import (
    lend,
    let_go,
    part_with,
    take_back,
)
from inventory.holdings.actions.parts import (
    add_parts,
    change_parts,
)
from inventory.holdings.actions.places import (
    merge_places,
    remove_place,
)
from inventory.holdings.actions.redating import (
    redate,
)
from inventory.holdings.actions.register import (
    EARLIEST,
    add_tubes,
    change_tube,
    check_day,
    check_moment,
    free_tags,
    give_tags,
    leave_place,
    move,
    pass_tags,
    register,
    save_place,
)
from inventory.holdings.actions.settling import (
    settle_marked,
)
from inventory.holdings.actions.shelf import (
    take_back_entry,
    untouched,
)
from inventory.holdings.actions.wants import (
    save_want,
    settle_want,
)

__all__ = [
    "EARLIEST",
    "REST_LEFT",
    "REST_MISSING",
    "add_facts",
    "add_parts",
    "add_tubes",
    "begin_count",
    "change_parts",
    "change_place",
    "change_tube",
    "check_day",
    "check_moment",
    "close_count",
    "drop_count",
    "for_change",
    "free_tags",
    "give_tags",
    "hold_things",
    "leave_place",
    "lend",
    "let_go",
    "locked",
    "locked_all",
    "mark_seen",
    "merge_places",
    "move",
    "move_place",
    "note_hazards",
    "part_with",
    "pass_tags",
    "redate",
    "register",
    "remove_place",
    "save_place",
    "save_want",
    "scan",
    "settle_hazard",
    "settle_marked",
    "settle_want",
    "take_back",
    "take_back_entry",
    "tick",
    "turned_up",
    "untouched",
]
