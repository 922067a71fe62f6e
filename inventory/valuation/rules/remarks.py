"""What is said of answers: sales that lack a rate of exchange, a valuation date to come, why there is no amount."""

from datetime import date

NEWER = "RATES_FILE names a newer file"


def without_rate(many: int, end: date | None, later: int | None = None) -> str:
    """How many sales lack a rate, empty if none. ``end``: the last day of rates, where some of them are later;
    ``later``: how many of them are, if not all. No newer rates mend the others.
    """
    if not many:
        return ""
    sales = "1 sale is" if many == 1 else f"{many} sales are"
    told = f"{sales} not in it for lack of a rate of exchange"
    if not end:
        return f"{told}."
    which = "" if later in (None, many) else f"{later} of them {'is' if later == 1 else 'are'} later than "
    return f"{told}: {which}the rates that are here{', which' if which else ''} end on {end} ({NEWER})."


def to_come(on: date, today: date) -> str:
    """That a valuation date is to come, empty where it is not: what is sold until then is not known."""
    return f"That day is to come: this is by what is known on {today}." if on > today else ""


def why_no_amount(grade: str, at_most: str | None, most: str, at_least: str, least: str) -> str:
    """Why there is no amount of a grade although there are sales: what it is ``at_most`` and ``at_least`` by sales of
    which other grades; empty where there are none. The figures are in words.
    """
    told = []
    if at_most is not None:
        better = f"{at_most} ones fetch" if at_most else "such ones, whatever their grade, fetch"
        told.append(f"{better} {most}: at most that")
    if at_least:
        told.append(f"{at_least} ones fetch {least}: at least that")
    unknown = f"{grade} ones" if grade else "working ones"
    return f"the evidence does not tell what {unknown} fetch; {'; '.join(told)}" if told else ""
