"""Sales that do not count for lack of a rate of exchange, as it is said before all else, and kept with an appraisal."""

from collections import Counter
from collections.abc import Iterable

import numpy as np

from inventory.valuation.queries.pricing import Priced
from inventory.valuation.rules.evidence import NO_RATE
from inventory.valuation.rules.remarks import without_rate


def lost_told(markets: Iterable[Priced]) -> str:
    """How many sales of some markets lack a rate, and how many of them newer rates would bring in; empty if none."""
    many, later, end = 0, 0, None
    for market in markets:
        rates, rows = market.exchange.rates, np.flatnonzero(market.fit.why == NO_RATE)
        after = rows[market.evidence.day[rows] > rates.last.toordinal()]
        said = market.columns.said[market.at[after]].tolist()
        codes = Counter(market.columns.saids[one].currency for one in said)
        mended = sum(count for code, count in codes.items() if rates.published_still(code))
        many, later, end = many + len(rows), later + mended, rates.last if mended else end
    return without_rate(many, end, later)
