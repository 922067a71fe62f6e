"""What things are worth by what was paid or is insured, to compare them with one another."""

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from inventory.holdings.models import Fact
from inventory.holdings.rules.facts import INSURED, PAID
from inventory.holdings.rules.prices import EACH
from inventory.sets.queries import FEW


def values_of(keys: Sequence[int], kind: str) -> NDArray[np.float64]:
    """What each of some things of a kind, or each piece of a lot, is worth in the currency that most are in; NaN: not
    known (one query, which reads the figures of these things; of very many those of all that are here of the kind).

    Figures of other currencies are not compared: nothing is converted here.
    """
    wanted = {key: number for number, key in enumerate(keys)}
    rows = Fact.objects.filter(about__in=(PAID, INSURED), struck="", value__isnull=False, per=EACH).order_by("pk")
    few = len(keys) <= FEW
    rows = rows.filter(item__in=keys) if few else rows.filter(item__kind=kind, item__gone_on__isnull=True)
    found = [
        (wanted[key], currency, float(value))
        for key, currency, value in rows.values_list("item_id", "currency", "value")
        if key in wanted and value is not None
    ]
    usual = Counter(currency for _, currency, _ in found).most_common(1)
    values = np.full(len(keys), np.nan)
    for number, currency, value in found:
        if currency == usual[0][0]:
            values[number] = value
    return values
