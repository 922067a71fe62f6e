"""The two shapes that most pages have: a form for one change, and a list cut into sheets."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Page, Paginator
from django.db import models
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone

SHEET = 50  # rows on one sheet of a list


def change_page(
    request: HttpRequest,
    make: Callable[[Any], forms.BaseForm],
    save: Callable[[Any], tuple[str, str]],
    template: str = "parts/form.html",
    **context: Any,
) -> HttpResponse:
    """Show a form; on a good POST run the change and go on.

    ``make`` gets the POST data or None. ``save`` gets the valid form, does the change through an action and returns
    (what was done, address to go to). A refusal of the action becomes an error of the field it names; a form with
    errors answers 422. ``context`` needs ``heading``; see ``templates/parts/form.html``.
    ``template``: one that extends it.
    """
    form = make(request.POST if request.method == "POST" else None)
    status = 200
    if request.method == "POST":
        if form.is_valid():
            try:
                done, whereto = save(form)
            except ValidationError as refusal:
                show_refusal(form, refusal)
            else:
                messages.success(request, done)
                return redirect(whereto)
        status = 422
    return render(request, template, {"form": form, **context}, status=status)


def show_refusal(form: Any, refusal: ValidationError) -> None:
    """Put what an action refused beside the field it names, or above the form."""
    named = refusal.message_dict if hasattr(refusal, "error_dict") else {"__all__": refusal.messages}
    for field, texts in named.items():
        for text in texts:
            form.add_error(field if field in form.fields else None, text)


def sheet(request: HttpRequest, rows: QuerySet[Any], size: int = SHEET, name: str = "page") -> Page[Any]:
    """The sheet of a list that the address asks for; a number out of range gives the nearest sheet.

    ``name``: what the address calls it, where a page has two lists (``parts/pager.html`` takes it, too).
    """
    return Paginator(rows, size).get_page(request.GET.get(name))


def sheet_answer(page: Page[Any], name: str, rows: list[Any]) -> JsonResponse:
    """A sheet of a list as JSON: its rows under ``name``; ``count`` is of all sheets."""
    count, pages = page.paginator.count, page.paginator.num_pages
    return JsonResponse({"count": count, "page": page.number, "pages": pages, name: rows})


def person(request: Any) -> str:
    """How a person signs an entry, before it is changed."""
    return request.user.get_full_name() or request.user.get_username()


class DayField(forms.DateField):
    """A day, with the browser's own picker."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class ClockField(forms.TimeField):
    """A time of day, with the browser's own picker."""

    widget = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")


class FillsInNow(forms.Form):
    """A form of something that happens: where its day is today, the time is filled in as now, to be changed or cleared.

    So what is entered as it happens has its order. A time that was only filled in counts for today alone: with another
    day it is dropped, since nobody said it. ``DAY`` and ``CLOCK`` name the fields.
    """

    DAY, CLOCK = "on", "at"

    filled_in = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        now = timezone.localtime()
        if getattr(getattr(self, "instance", None), "pk", None):
            del self.fields["filled_in"]
        elif not self.initial.get(self.CLOCK) and self.initial.get(self.DAY) == now.date():
            self.initial = {**self.initial, self.CLOCK: now.time(), "filled_in": f"{now:%Y-%m-%d %H:%M}"}

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        shown = cells.pop("filled_in", "")
        day, clock = cells.get(self.DAY), cells.get(self.CLOCK)
        if day and clock and f"{clock:%H:%M}" == shown[11:] and f"{day:%Y-%m-%d}" != shown[:10]:
            cells[self.CLOCK] = None
        return cells


def picker(field: Any, **kwargs: Any) -> Any:
    """The form field for a model's date or time with the browser's picker (``formfield_callback`` of our forms)."""
    if isinstance(field, models.DateTimeField):
        return field.formfield(**kwargs)
    if isinstance(field, models.DateField):
        return field.formfield(form_class=DayField, **(kwargs | {"widget": DayField.widget}))
    if isinstance(field, models.TimeField):
        return field.formfield(form_class=ClockField, **(kwargs | {"widget": ClockField.widget}))
    if isinstance(field, models.TextField):
        return field.formfield(**(kwargs | {"widget": forms.Textarea(attrs={"rows": 3})}))
    return field.formfield(**kwargs)
