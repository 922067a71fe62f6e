"""Questions about loans: what is out, what is here on loan, what is due."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, QuerySet

from inventory.holdings.models import Item, Loan, Paper
from inventory.house.areas import thing_columns
from inventory.house.concerns import readings_of_many

SHOWN_DAYS = 14  # the first page shows what is due within a fortnight


@dataclass(frozen=True)
class DueLoan:
    """A loan that is due: how many days over, or still to come where it is less than nothing."""

    loan: Loan
    days: int

    @property
    def overdue(self) -> bool:
        return self.days > 0

    @property
    def words(self) -> str:
        """What is due, in a sentence without the thing."""
        loan = self.loan
        if loan.way == Loan.OUT:
            return f"lent to {loan.who} since {loan.since}, due back on {loan.due}"
        return f"here on loan from {loan.who} since {loan.since}, to be given back by {loan.due}"

    @property
    def standing(self) -> str:
        if not self.days:
            return "due today"
        if self.days > 0:
            return f"{self.days} day{'s' * (self.days != 1)} overdue"
        return f"due in {-self.days} day{'s' * (self.days != -1)}"


def loans(*, over: bool = False) -> QuerySet[Loan]:
    """Loans that run, soonest due first and those without a day last; or those that are over, the latest first."""
    rows = Loan.objects.filter(ended__isnull=not over).select_related("item", *thing_columns("item__"))
    if over:
        return rows.order_by("-ended", "-pk")
    return rows.order_by(F("due").asc(nulls_last=True), "since", "pk")


def running_loans(item: Item) -> list[Loan]:
    """The loans of a thing that run: out, here on loan, or neither (one query)."""
    return list(item.loans.filter(ended__isnull=True).order_by("way"))


def lent_without_loan() -> QuerySet[Item]:
    """Things that are out by a list or an older collection, of which nothing is written but to whom."""
    out = Loan.objects.filter(way=Loan.OUT, ended__isnull=True).values("item")
    rows = Item.objects.exclude(lent_to="").filter(gone_on__isnull=True).exclude(pk__in=out)
    return rows.select_related(*thing_columns()).order_by("tag")


def loans_due(on: date, days: int | None = SHOWN_DAYS) -> list[DueLoan]:
    """Loans that are overdue or due within some days (None: at any time), the longest overdue first (one query)."""
    rows = loans().filter(due__isnull=False)
    if days is not None:
        rows = rows.filter(due__lte=on + timedelta(days=days))
    return [DueLoan(row, (on - row.due).days) for row in rows if row.due]


@dataclass(frozen=True)
class LoanSheet:
    """What goes on the paper of a loan: the thing with what is known of it, and pictures of how it looked."""

    loan: Loan
    reading: str
    photographs: Sequence[Paper]
    overdue: bool


def loan_sheet(loan: Loan, on: date) -> LoanSheet:
    """The paper of a loan (a fixed number of queries)."""
    pictures = loan.item.papers.filter(kind=Paper.PHOTOGRAPH).order_by("-dated", "-pk")
    reading = readings_of_many([loan.item]).get(loan.item_id, "")
    return LoanSheet(loan, reading, list(pictures[:4]), loan.overdue(on))
