"""The questions of the first page, the look-up and the pocket page."""

from inventory.frontpage.queries.first import (
    SHOWN,
    SHOWN_ON_PAGE,
    BenchReport,
    DueGroup,
    bench_report,
    without_place,
)
from inventory.frontpage.queries.look_up import (
    LookUp,
    Match,
    look_up,
    pieces_for,
    untyped_bearing,
)
from inventory.frontpage.queries.pocket import (
    NOT_WANTED,
    PocketAnswer,
    PocketMatch,
    Wanted,
    pocket_answer,
    serials_wanted,
)
from inventory.frontpage.queries.relatives import StandIn
from inventory.frontpage.queries.saved_copy import saved_copy
from inventory.frontpage.queries.search import search_all, tag_not_here
from inventory.sets.queries.needs import SetNeed

__all__ = [
    "NOT_WANTED",
    "SHOWN",
    "SHOWN_ON_PAGE",
    "BenchReport",
    "DueGroup",
    "LookUp",
    "Match",
    "PocketAnswer",
    "PocketMatch",
    "SetNeed",
    "StandIn",
    "Wanted",
    "bench_report",
    "look_up",
    "pieces_for",
    "pocket_answer",
    "saved_copy",
    "search_all",
    "serials_wanted",
    "tag_not_here",
    "untyped_bearing",
    "without_place",
]
