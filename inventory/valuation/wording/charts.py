"""The chart of an estimate: its evidence over time."""

from inventory.running.wording.frame import Chart, frame
from inventory.valuation.queries.estimates import Comparable, Estimate

MOST_DOTS = 400  # the latest; more cannot be told from one another
MOST_TOLD = 3
BEYOND = 3.0  # times the high end: what is dearer stands at the edge, or it would press all others flat


def evidence_chart(found: Estimate) -> Chart | None:
    """Sales that count by their day, each levelled to what was asked; asking prices apart; the estimate with its ends.

    None without evidence.
    """
    if found.amount is None or found.low is None or found.high is None:
        return None
    sold = sorted(found.comparables, key=_day)[-MOST_DOTS:]
    asking = sorted(found.asking, key=_day)[-MOST_DOTS:]
    amount, low, high = (float(one.amount) for one in (found.amount, found.low, found.high))
    shown, edge = [*sold, *asking], BEYOND * high
    beyond = [one for one in shown if float(one.levelled.amount) > edge]
    told_beyond = "; ".join(f"{one.levelled} on {one.brought.sale.on}" for one in beyond[:MOST_TOLD])
    box = frame(
        [*(float(_day(one)) for one in shown), float(found.on.toordinal())],
        [*(min(float(one.levelled.amount), edge) for one in shown), low, high],
    )
    ends = [(box.low_x, high), (box.high_x, high)], [(box.low_x, low), (box.high_x, low)]
    between = "eight in ten sales" if found.interval else "the range of its sales"
    told = f"{len(found.comparables)} sales" + (f" and {len(found.asking)} asking prices" if found.asking else "")
    return Chart(
        label=f"{found.name}: {told}; worth {found.amount}, {between} from {found.low} to {found.high}.",
        caption=(
            f"Dots: what was sold, levelled to {_asked(found)}. Line: the estimate. Band: {between}."
            + (" Broken rings: asking prices, which do not count." if asking else "")
            + (f" Beyond the scale, open at its upper edge: {told_beyond}{_more(beyond)}." if beyond else "")
        ),
        x_name="", y_name=found.currency, x_ticks=box.day_ticks(), y_ticks=box.y_ticks(),
        lines=((box.level(amount), "line"),), bands=(box.band(*ends),),
        dots=tuple(
            (
                box.x(_day(one)), box.y(min(float(one.levelled.amount), edge)), _words(one),
                "beyond" if one in beyond and kind == "sold" else kind,
            )
            for some, kind in ((asking, "asking"), (sold, "sold"))
            for one in some
        ),
    )  # fmt: skip


def _more(beyond: list[Comparable]) -> str:
    return f" and {len(beyond) - MOST_TOLD} more" if len(beyond) > MOST_TOLD else ""


def _asked(found: Estimate) -> str:
    return ", ".join(word for word in (found.grade, found.market.venue) if word) or "what is usual in the evidence"


def _day(one: Comparable) -> int:
    return one.day.toordinal()


def _words(one: Comparable) -> str:
    sale = one.brought.sale
    return f"{sale.on}: {sale.each} each, {', '.join(word for word in (sale.grade, sale.venue) if word)}"
