"""What of the holdings needs a hand, in lines for a terminal and as JSON."""

from collections.abc import Sequence
from typing import Any

from inventory.holdings.queries.loans import SHOWN_DAYS, DueLoan


def loans_heading(count: int) -> str:
    return f"Loans overdue or due within {SHOWN_DAYS} days: {count}"


def loans_in_lines(one: DueLoan) -> Sequence[str]:
    return [f"{one.loan.item.tag} {one.loan.item.words}: {one.words}; {one.standing}"]


def loans_as_json(one: DueLoan) -> dict[str, Any]:
    loan = one.loan
    return {
        "tag": loan.item.tag,
        "way": loan.way,
        "who": loan.who,
        "since": str(loan.since),
        "due": str(loan.due),
        "overdue": one.overdue,
        "days": one.days,
    }
