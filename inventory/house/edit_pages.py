"""The page of one change: a form shown, a change run, a refusal told beside the field it names."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import Resolver404, resolve
from django.utils.http import url_has_allowed_host_and_scheme

WITH_CHANGES = "parts/form_and_changes.html"  # a template that shows what was changed before below the form


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


def way_back(request: HttpRequest, otherwise: str) -> str:
    """The page of this house that a form was opened from, where its address names one in ``next``; else another.

    Nothing that is asked for leads out of the house (OWASP: unvalidated redirects and forwards).
    """
    asked = request.POST.get("next") or request.GET.get("next") or ""
    if not asked.startswith("/") or not url_has_allowed_host_and_scheme(asked, allowed_hosts=None):
        return otherwise
    try:
        resolve(asked.partition("?")[0])
    except Resolver404:
        return otherwise
    return asked


def show_refusal(form: Any, refusal: ValidationError) -> None:
    """Put what an action refused beside the field it names, or above the form."""
    named = refusal.message_dict if hasattr(refusal, "error_dict") else {"__all__": refusal.messages}
    for field, texts in named.items():
        for text in texts:
            shown = field in form.fields and not form[field].is_hidden
            form.add_error(field if shown else None, text)


def person(request: Any) -> str:
    """How a person signs an entry, before it is changed."""
    return request.user.get_full_name() or request.user.get_username()
