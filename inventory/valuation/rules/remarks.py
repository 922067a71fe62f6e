"""What is said of an answer before all else: sales that lack a rate of exchange, a valuation date to come."""

from datetime import date

NEWER = "RATES_FILE names a newer file"


def without_rate(many: int, end: date | None) -> str:
    """How many sales lack a rate, empty if none. ``end``: the last day of rates, where some of them are later."""
    if not many:
        return ""
    sales = "1 sale is" if many == 1 else f"{many} sales are"
    told = f"{sales} not in it for lack of a rate of exchange"
    return f"{told}: the rates that are here end on {end} ({NEWER})." if end else f"{told}."


def to_come(on: date, today: date) -> str:
    """That a valuation date is to come, empty where it is not: what is sold until then is not known."""
    return f"That day is to come: this is by what is known on {today}." if on > today else ""
