"""What became of a list of prices, in sentences."""

from typing import TYPE_CHECKING

from inventory.lists.wording.sentences import rows_in_words

if TYPE_CHECKING:
    from inventory.lists.actions.price_lists import PriceList

MOST_NAMED = 8


def _lines(at: list[int]) -> str:
    more = f" and {len(at) - MOST_NAMED} more" if len(at) > MOST_NAMED else ""
    return f"line{'s' * (len(at) > 1)} {', '.join(map(str, at[:MOST_NAMED]))}{more}"


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
    lines: dict[str, list[int]] = {}
    for row in found.unsettled:
        lines.setdefault(row.entry.designation if row.entry else "", []).append(row.line)
    if lines:
        more = f" and {len(lines) - MOST_NAMED} more" if len(lines) > MOST_NAMED else ""
        names = ", ".join(f"{name} ({_lines(at)})" for name, at in list(lines.items())[:MOST_NAMED])
        told.append(
            f"Nothing known, or more than one thing, is named by {names}{more}: kept as found, evidence for that very "
            f"mark alone. The list of prices finds them as not clear, and settles them when what they name is known."
        )
    if far := [row.line for row in found.taken if row.far]:
        told.append(f"Far off the others of the same thing: {_lines(far)}.")
    if found.unread:
        told.append(f"Not read: {', '.join(found.unread)}.")
    return [*told, *found.notes]
