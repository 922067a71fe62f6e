"""Questions about tube knowledge. The effective rows: the keeper's own where there are any, the tables' elsewhere."""

from tubes.queries.cards import FigureCell, TypeCard, effective_figures, figure_of, type_card
from tubes.queries.marks import Knowledge, MarkRow, knowledge, overrules_a_table
from tubes.queries.named import (
    MOST_OFFERED,
    find_type,
    form_for_stamp,
    other_meaning,
    tube_for_stamp,
    type_for_stamp,
    type_named,
    type_or_form_named,
)
from tubes.queries.search import holding, mark_lists, type_list, types_like, types_named

__all__ = [
    "MOST_OFFERED",
    "FigureCell",
    "Knowledge",
    "MarkRow",
    "TypeCard",
    "effective_figures",
    "figure_of",
    "find_type",
    "form_for_stamp",
    "holding",
    "knowledge",
    "mark_lists",
    "other_meaning",
    "overrules_a_table",
    "tube_for_stamp",
    "type_card",
    "type_for_stamp",
    "type_list",
    "type_named",
    "type_or_form_named",
    "types_like",
    "types_named",
]
