"""Pages of promises and of who can be asked."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.models import Item
from inventory.house.access import needs
from inventory.house.edit_pages import WITH_CHANGES, change_page, person
from inventory.house.history import changes_of
from inventory.house.records.pages import correct_page, reason_in, strike_page
from inventory.house.sheets import sheet
from inventory.valuation.actions.estate import save_contact, save_promise
from inventory.valuation.forms.estate import ContactForm, PromiseForm
from inventory.valuation.models import Contact, Promise
from inventory.valuation.queries.promises import open_promises


@needs("add", "valuation.promise", "see what is promised to whom")
def asking(request: HttpRequest) -> HttpResponse:
    """What is promised to whom; and for keepers who can be asked, since that says how to reach people."""
    contacts = Contact.objects.filter(struck="").select_related("place", "item")
    context = {
        "contacts": sheet(request, contacts, name="contacts"), "page": sheet(request, open_promises()),
    }  # fmt: skip
    return render(request, "valuation/asking.html", context)


@needs("change", "valuation.promise")
def promise_add(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)
    start = {"since": timezone.localdate(), "by_whom": person(request)}

    def save(form: Any) -> tuple[str, str]:
        row = save_promise(form.save(commit=False), today=timezone.localdate(), by=request.user)
        return f"{row}.", item.get_absolute_url()

    return change_page(
        request, lambda data: PromiseForm(data, initial=start, instance=Promise(item=item)), save,
        heading=f"Promise {tag}, {item.words}", act="Promise it", back=item.get_absolute_url(),
    )  # fmt: skip


@needs("change", "valuation.promise")
def promise_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Promise.objects.select_related("item"), pk=pk)
    back = row.item.get_absolute_url()

    def save(form: Any) -> tuple[str, str]:
        kept = save_promise(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        return f"{kept}: corrected.", back

    return correct_page(
        request, row, lambda data: PromiseForm(data, instance=row), save, heading=f"Correct: {row}", back=back,
        template=WITH_CHANGES, changes=changes_of(row),
    )  # fmt: skip


@needs("change", "valuation.promise")
def promise_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Promise.objects.select_related("item"), pk=pk)
    return strike_page(request, row, heading=f"It is promised no more: {row}", back=row.item.get_absolute_url())


@needs("change", "valuation.contact")
def contact_add(request: HttpRequest) -> HttpResponse:
    back = reverse("valuation:asking")
    tag = request.GET.get("tag", "").replace("\0", "")[:20]
    start = {"by_whom": person(request), "item": Item.objects.filter(tag=tag).first() if tag else None}

    def save(form: Any) -> tuple[str, str]:
        row = save_contact(form.save(commit=False), by=request.user)
        return f"{row} can be asked about {row.about}.", back

    return change_page(
        request, lambda data: ContactForm(data, initial=start), save, heading="Whom to ask", act="Write", back=back
    )


@needs("change", "valuation.contact")
def contact_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Contact, pk=pk)
    back = reverse("valuation:asking")

    def save(form: Any) -> tuple[str, str]:
        kept = save_contact(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{kept}: corrected.", back

    return correct_page(
        request, row, lambda data: ContactForm(data, instance=row), save, heading=f"Correct: {row}", back=back,
        template=WITH_CHANGES, changes=changes_of(row),
    )  # fmt: skip


@needs("change", "valuation.contact")
def contact_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Contact, pk=pk)
    return strike_page(request, row, heading=f"Strike out: {row}", back=reverse("valuation:asking"))
