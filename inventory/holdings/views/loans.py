"""Pages of loans: what is out and what is here on loan, the paper of one, lending, taking back, giving back."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import lend, take_back
from inventory.holdings.actions.loans import borrow, give_back, save_loan
from inventory.holdings.actions.locking import locked
from inventory.holdings.forms.alone import why_alone
from inventory.holdings.forms.loans import BackForm, BorrowForm, LendForm, LoanForm
from inventory.holdings.models import Item, Loan
from inventory.holdings.queries.loans import lent_without_loan, loan_sheet, loans
from inventory.holdings.queries.together import barred, before_it_leaves, ours_by_its_record
from inventory.house.access import needs
from inventory.house.areas import thing_columns
from inventory.house.concerns import minded_when_carried
from inventory.house.edit_pages import change_page
from inventory.house.history import changes_of
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet


@needs("view", "holdings.loan")
def loan_list(request: HttpRequest) -> HttpResponse:
    """Loans that run, soonest due first; with ``?over=yes`` those that are over."""
    over = "over" in request.GET
    page, today = sheet(request, loans(over=over)), timezone.localdate()
    page.object_list = list(page.object_list)
    for row in page.object_list:
        row.late = row.overdue(today)
    bare = None if over else lent_without_loan()
    context = {"page": page, "over": over, "bare": bare and list(bare[:40]), "bare_count": bare.count() if bare else 0}
    return render(request, "holdings/loans.html", context)


@needs("view", "holdings.loan")
def loan_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The paper of a loan, to be signed at both ends."""
    row = get_object_or_404(Loan.objects.select_related("item", *thing_columns("item__")), pk=pk)
    context = {"sheet": loan_sheet(row, timezone.localdate()), "loan": row, "changes": changes_of(row)}
    return render(request, "holdings/loan.html", context)


@needs("change", "holdings.loan")
def loan_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Loan.objects.select_related("item"), pk=pk)

    def save(form: Any) -> tuple[str, str]:
        saved = save_loan(form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form))
        return f"{saved}: written.", saved.get_absolute_url()

    return correct_page(
        request, row, lambda data: LoanForm(data, instance=row), save, why=WELCOME, heading=f"Change: {row}",
        back=row.get_absolute_url(), lock_first=lambda: locked(row.item),
    )  # fmt: skip


@needs("change", "holdings.item")
def item_lend(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    left = before_it_leaves(item)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        lend(
            item, cells["lent_to"], on=cells["on"], today=timezone.localdate(), by=request.user,
            why=cells.get("why", ""), due=cells["due"], condition=cells["condition"], terms=cells["terms"],
        )  # fmt: skip
        return f"{tag} is lent to {item.lent_to}.", item.get_absolute_url()

    start = {"on": timezone.localdate()}
    return change_page(
        request,
        lambda data: why_alone(LendForm(data, initial=start), left),
        save,
        heading=f"Lend {tag}",
        act="Lend",
        back=item.get_absolute_url(),
        caution=" ".join(filter(None, [barred(item), minded_when_carried([item]), left])),
    )


@needs("change", "holdings.item")
def item_back(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        take_back(item, on=cells["on"], condition=cells["condition"], today=timezone.localdate(), by=request.user)
        return f"{tag} is back.", item.get_absolute_url()

    if not item.lent_to:
        messages.error(request, f"{tag} is not lent.")
        return redirect(item.get_absolute_url())
    start = {"on": timezone.localdate()}
    return change_page(
        request, lambda data: BackForm(data, initial=start), save, heading=f"{tag} is back from {item.lent_to}",
        act="It is back", back=item.get_absolute_url(),
    )  # fmt: skip


@needs("change", "holdings.item")
def item_borrow(request: HttpRequest, tag: str) -> HttpResponse:
    """A thing of the register is somebody else's, here on loan."""
    item = get_object_or_404(Item, tag=tag)
    row, asked = Loan(item=item, way=Loan.IN), ours_by_its_record(item)

    def save(form: Any) -> tuple[str, str]:
        saved = borrow(
            form.save(commit=False), today=timezone.localdate(), by=request.user, why=form.cleaned_data.get("why", "")
        )
        return f"{saved}: written.", saved.get_absolute_url()

    start = {"since": timezone.localdate()}
    return change_page(
        request, lambda data: why_alone(BorrowForm(data, instance=row, initial=start), asked), save,
        heading=f"{tag} is here on loan", act="Write", back=item.get_absolute_url(), caution=asked,
    )  # fmt: skip


@needs("change", "holdings.item")
def loan_give_back(request: HttpRequest, pk: int) -> HttpResponse:
    """A thing that was here on loan goes back to its owner."""
    row = get_object_or_404(Loan.objects.select_related("item"), pk=pk, way=Loan.IN)
    left = before_it_leaves(row.item, to_owner=True)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        give_back(
            row, on=cells["on"], condition=cells["condition"], why=cells.get("why", ""), today=timezone.localdate(),
            by=request.user,
        )  # fmt: skip
        return f"{row.item.tag} was given back to {row.who}.", reverse("holdings:loan", args=[row.pk])

    start = {"on": timezone.localdate()}
    return change_page(
        request, lambda data: why_alone(BackForm(data, initial=start), left), save,
        heading=f"Give {row.item.tag} back to {row.who}", act="It was given back", grave=True,
        back=row.get_absolute_url(), caution=" ".join(filter(None, [minded_when_carried([row.item]), left])),
    )  # fmt: skip
