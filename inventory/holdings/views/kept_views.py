"""Keeping a view of a list, and taking one away."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from inventory.holdings.actions.kept_views import drop_view, keep_view
from inventory.holdings.forms.kept_views import ViewForm, list_query
from inventory.holdings.models import KeptView
from inventory.house.access import may, needs
from inventory.house.areas import list_named


def _at(of_list: str, query: str = "") -> HttpResponse:
    """Back to the list, as it was kept."""
    address = reverse(list_named(of_list).page)
    return redirect(f"{address}?{query}" if query else address)


@require_POST
@needs("add", "holdings.keptview")
def view_keep(request: HttpRequest) -> HttpResponse:
    form = ViewForm(request.POST)
    cells = form.cleaned_data if form.is_valid() else {}
    if not cells:
        told = " ".join(str(text) for texts in form.errors.values() for text in texts)
        messages.error(request, told)
        asked = list_query(QueryDict(request.POST.get("query", "")))
        return redirect("holdings:tube-list") if "of_list" in form.errors else _at(form.cleaned_data["of_list"], asked)
    name = "" if cells["usual"] else cells["name"]
    try:
        view = keep_view(cells["of_list"], name, cells["query"], by=request.user, shared=cells["shared"])
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return _at(cells["of_list"], cells["query"])
    seen = "; everybody sees it" if view.shared else ""
    messages.success(request, f"Kept as {view.name}{seen}." if name else "These columns are shown to you from now on.")
    return _at(view.of_list, view.query)


@require_POST
@needs("add", "holdings.keptview")
def view_drop(request: HttpRequest, pk: int) -> HttpResponse:
    keeper = may(request.user, "change", "holdings.keptview")
    seen = Q(owner=request.user.pk) | Q(shared=True) | (Q(owner=None) if keeper else Q(pk__in=()))
    view = get_object_or_404(KeptView, seen, pk=pk)  # what one does not see is not there
    try:
        drop_view(view, by=request.user, keeper=keeper)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{view.name} is taken away." if view.name else "The usual columns are shown again.")
    return _at(view.of_list)
