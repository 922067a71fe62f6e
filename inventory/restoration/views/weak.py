"""Pages of parts that are known to be weak in a set model, and of what is said of each."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.house.access import may, needs
from inventory.house.edit_pages import WITH_CHANGES
from inventory.house.history import changes_of
from inventory.house.records.pages import WELCOME, correct_page, reason_in, strike_page
from inventory.house.writing import refuse
from inventory.restoration.actions import add_weak_part, save_weak_part, save_weak_said
from inventory.restoration.forms import NewWeakPartForm, WeakPartForm, WeakSaidForm
from inventory.restoration.models import WeakPart, WeakSaid
from inventory.sets.models import SetModel


def _weak_form(request: HttpRequest, row: WeakPart, heading: str) -> HttpResponse:
    back = row.set_model.get_absolute_url()

    def save(form: Any) -> tuple[str, str]:
        saved = save_weak_part(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{saved}: written.", back

    return correct_page(
        request, row, lambda data: WeakPartForm(data, instance=row), save, why=WELCOME, heading=heading, back=back
    )


@needs("add", "restoration.weakpart")
def weak_add(request: HttpRequest, pk: int) -> HttpResponse:
    """The part and, where somebody said it, the first word on it."""
    model = get_object_or_404(SetModel, pk=pk)
    row, back = WeakPart(set_model=model), model.get_absolute_url()

    def save(form: Any) -> tuple[str, str]:
        if form.cleaned_data["verdict"] and not may(request.user, "add", "restoration.weaksaid"):
            raise refuse("verdict", "Your role may not add a word on a weak part; leave it out.")
        saved = add_weak_part(
            form.save(commit=False), form.first_word, today=timezone.localdate(), by=request.user
        )  # fmt: skip
        return f"{saved}: written.", back

    return correct_page(
        request, row, lambda data: NewWeakPartForm(data, instance=row), save, why=WELCOME, back=back,
        heading=f"A part that is weak in every {model}",
    )  # fmt: skip


@needs("change", "restoration.weakpart")
def weak_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(WeakPart.objects.select_related("set_model"), pk=pk)
    return _weak_form(request, row, f"Change: {row}")


def _word_form(request: HttpRequest, row: WeakSaid, **page: Any) -> HttpResponse:
    back = f"{row.weak.set_model.get_absolute_url()}#weak-parts"

    def save(form: Any) -> tuple[str, str]:
        saved = save_weak_said(
            form.save(commit=False), today=timezone.localdate(), by=request.user, reason=reason_in(form)
        )
        return f"{row.weak}: {saved}, written.", back

    return correct_page(
        request, row, lambda data: WeakSaidForm(data, instance=row), save, why=WELCOME, back=back, **page
    )


@needs("add", "restoration.weaksaid")
def word_add(request: HttpRequest, pk: int) -> HttpResponse:
    part = get_object_or_404(WeakPart.objects.select_related("set_model"), pk=pk)
    return _word_form(request, WeakSaid(weak=part), heading=f"A word on {part} of {part.set_model}")


@needs("change", "restoration.weaksaid")
def word_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(WeakSaid.objects.select_related("weak__set_model"), pk=pk)
    return _word_form(
        request, row, heading=f"Change the word on {row.weak}", template=WITH_CHANGES, changes=changes_of(row)
    )


@needs("change", "restoration.weaksaid")
def word_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(WeakSaid.objects.select_related("weak__set_model"), pk=pk)
    back = f"{row.weak.set_model.get_absolute_url()}#weak-parts"
    return strike_page(request, row, back=back, heading=f"Strike out: {row}")
