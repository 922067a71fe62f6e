"""What of the holdings needs a hand, in lines for a terminal and as JSON."""

from collections.abc import Sequence
from typing import Any

from inventory.holdings.queries.conditions import LookDue
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


def looks_heading(count: int) -> str:
    return f"To be looked at again by now or within {SHOWN_DAYS} days: {count}"


def looks_in_lines(one: LookDue) -> Sequence[str]:
    return [f"{one.row.item.tag} {one.row.item.words}: {one.words}; {one.standing}"]


def looks_as_json(one: LookDue) -> dict[str, Any]:
    row = one.row
    return {
        "tag": row.item.tag,
        "looked_on": str(row.on),
        "by": row.by_whom,
        "state": row.state,
        "due": str(row.look_again),
        "overdue": one.overdue,
        "days": one.days,
    }
