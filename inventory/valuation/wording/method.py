"""The method page: what was found on made evidence, the chart of the back test, the reasons for leaving a row out."""

from inventory.house.bars import Bars, Item, bars
from inventory.valuation.queries.method import Method
from inventory.valuation.rules.evidence import NO_PRICE, REASONS

#: As ``manage.py check_valuation`` told on 2026-11-30 (usual shape, seed 1): made rows, not sales.
MADE = {"rows": "20,000", "types": "300", "covered": "79.9", "off": "22.0", "mean_off": "46.6"}
LEFT_OUT = tuple(reason for why, reason in enumerate(REASONS) if reason and why not in (NO_PRICE,))


def backtest_chart(found: Method) -> Bars | None:
    """The median error by the number of other sales: the estimate as a bar, the plain mean as a mark."""
    groups = [one for one in found.tested.groups if one.off is not None and one.mean_off is not None]
    items = [
        Item(
            one.words, f"{100 * one.off:.0f} %, mean {100 * one.mean_off:.0f} %", 100 * one.off,
            mark=100 * one.mean_off,
        )
        for one in groups
        if one.off is not None and one.mean_off is not None
    ]  # fmt: skip
    told = "; ".join(f"{one.name} {one.told}" for one in items)
    return bars(
        items, f"Median error of the estimate by the number of other sales of the type: {told}.",
        "Half of the sales lie nearer than this. Bar: the estimate; ring: the plain mean of the other prices.",
    )  # fmt: skip
