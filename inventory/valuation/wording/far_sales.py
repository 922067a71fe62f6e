"""Which of the sales that an estimate rests on lie far off it, in words: the reader looks, the figure is robust."""

from collections.abc import Sequence

from inventory.valuation.queries.estimates import Comparable, Estimate
from inventory.valuation.rules.far_off import FAR

TIMES, MOST_TOLD = FAR / 4, 5  # levelled to one grade, venue and day less is odd than of bare prices


def far_sales(found: Estimate) -> list[Comparable]:
    """Sales that count and are, levelled, five times the estimate and more, or a fifth and less."""
    if found.amount is None or not found.amount.amount:
        return []
    at = float(found.amount.amount)
    return [one for one in found.comparables if not at / TIMES < float(one.levelled.amount) < at * TIMES]


def far_words(far: Sequence[Comparable]) -> str:
    """One sentence; empty where none is far off."""
    if not far:
        return ""
    told = "; ".join(
        f"{one.brought.sale.on} {one.price}, levelled {one.levelled} ({one.brought.sale.where_from})"
        for one in far[:MOST_TOLD]
    )
    more = f"; and {len(far) - MOST_TOLD} more" if len(far) > MOST_TOLD else ""
    return f"Far off the estimate, look whether it is right: {told}{more}. It counts, and moves the figure little."
