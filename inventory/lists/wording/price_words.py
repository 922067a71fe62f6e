"""What became of a list of prices, in sentences."""

from typing import TYPE_CHECKING

from inventory.lists.wording.sentences import rows_in_words

if TYPE_CHECKING:
    from inventory.lists.actions.price_lists import PriceList

MOST_NAMED = 8


def price_list_in_words(found: "PriceList", *, trial: bool) -> list[str]:
    """What was written or would be, what stays out and why, what is not settled."""
    count = len(found.taken) if trial else found.written
    refused = len(found.refused) - len([row for row in found.same if row.faults])
    told = [
        f"{rows_in_words(len(found.rows))}: {count} {'would be written' if trial else 'written'}, {refused} refused, "
        f"{len([row for row in found.same if row.faults])} there already."
    ]
    if not count and found.same and not refused:
        told.append("Nothing in it is new.")
    if names := list(dict.fromkeys(row.entry.designation for row in found.unsettled if row.entry)):
        more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
        told.append(f"No one type is named by {', '.join(names[:MOST_NAMED])}{more}; kept as found, and not counted.")
    if found.unread:
        told.append(f"Not read: {', '.join(found.unread)}.")
    return [*told, *found.notes]
