"""Short words and figures of pairs: template filters, those of the charts among them."""

from collections.abc import Sequence

from django import template

from inventory.pairing.wording.charts import meter_trends, time_charts
from inventory.pairing.wording.on_air import sockets_first, to_do
from inventory.pairing.wording.on_air_record import Remark

register = template.Library()
register.filter(meter_trends)
register.filter(time_charts)
register.filter(to_do)
register.filter(sockets_first)

SHORT = {"good": "G", "due": "D", "reset and verify": "R", "presumed": "P", "not needed": "–"}


@register.filter
def short_state(state: str) -> str:
    """A pairing state in one letter, for a matrix; the legend spells it out."""
    return SHORT.get(state, "")


@register.filter
def signed(value: float) -> str:
    """A difference in three figures, with its sign; what only the arithmetic of the machine leaves is nothing."""
    return f"{round(value, 6):+.3g}"


@register.filter
def disagreeing(remarks: Sequence[Remark]) -> int:
    """How many checks do not agree."""
    return sum(remark.agrees is False for remark in remarks)


@register.filter
def three(value: float) -> str:
    """A figure as exact as a meter allows: three places."""
    return f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"


@register.filter
def ohms(value: float) -> str:
    """A resistance or reactance in three figures: 820 ohm, 75.8 kohm, 1.2 megohm."""
    for least, word in ((1e6, "megohm"), (1e3, "kohm")):
        if value >= least:
            return f"{value / least:.3g} {word}"
    return f"{value:.3g} ohm"
