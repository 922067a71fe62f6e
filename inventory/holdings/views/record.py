"""Pages of the record of a thing: how it came, how it was found, how it left."""

from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.holdings.actions.conditions import note_condition, save_condition
from inventory.holdings.actions.locking import locked
from inventory.holdings.actions.said import CAME, LEFT, say_how_it_came, say_how_it_left, state_said
from inventory.holdings.forms.record import CameForm, ConditionForm, DisposalForm
from inventory.holdings.models import ConditionCheck, Item
from inventory.holdings.queries.record import came, left, record_of
from inventory.house.access import may_see_money, needs
from inventory.house.edit_pages import change_page, person
from inventory.house.records.pages import correct_page, reason_in, strike_page

CAUTION = (
    "Looking costs nothing; opening can. Sets off, discharged and proved dead first, nothing scraped or broken. "
    "Local codes and licensed practice come first."
)


@needs("change", "holdings.fact")
def item_came(request: HttpRequest, tag: str) -> HttpResponse:
    """How a thing came, from whom, and what shows that it is ours."""
    item = get_object_or_404(Item, tag=tag)
    now = came(item)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        changed = say_how_it_came(
            item, {name: cells[name] for name in CAME}, by=request.user, today=timezone.localdate(),
            order=cells["order"], why=cells["why"], seen=_seen(form, start["seen"]),
        )  # fmt: skip
        return _told(tag, changed, form), f"{item.get_absolute_url()}#came"

    start = {name: getattr(now, name) for name in CAME} | {"seen": state_said(now, CAME)}
    return change_page(
        request, lambda data: CameForm(data, initial=start), save, heading=f"How {tag} came",
        back=f"{item.get_absolute_url()}#came",
    )  # fmt: skip


@needs("change", "holdings.fact")
def item_left(request: HttpRequest, tag: str) -> HttpResponse:
    """Why a thing left, on whose word, to whom, for how much: written when it is gone already."""
    item = get_object_or_404(Item, tag=tag, gone_on__isnull=False)
    now = left(item)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        changed = say_how_it_left(
            item, {name: cells[name] for name in LEFT}, by=request.user, today=timezone.localdate(), why=cells["why"],
            seen=_seen(form, start["seen"]),
        )  # fmt: skip
        return _told(tag, changed, form), f"{item.get_absolute_url()}#left"

    start: dict[str, Any] = {name: getattr(now, name) for name in LEFT}
    start["seen"] = state_said(now, LEFT) if now else ""
    return change_page(
        request, lambda data: DisposalForm(data, initial=start), save, heading=f"How {tag} left",
        back=f"{item.get_absolute_url()}#left",
    )  # fmt: skip


def _told(tag: str, changed: list[str], form: Any) -> str:
    if not changed:
        return f"{tag}: nothing was changed."
    return f"{tag} written: {', '.join(str(form.fields[name].label) for name in changed)}."


def _seen(form: Any, state: str) -> str:
    """The state that the form showed. Shown once more, it carries that of now: sent again, it is written knowingly."""
    seen = form.cleaned_data["seen"]
    form.data = form.data.copy()
    form.data["seen"] = state
    return seen or "not said"


@needs("add", "holdings.conditioncheck")
def condition_add(request: HttpRequest, tag: str) -> HttpResponse:
    """Somebody looked at a thing."""
    item = get_object_or_404(Item, tag=tag)

    def save(form: Any) -> tuple[str, str]:
        row = note_condition(form.save(commit=False), by=request.user, today=timezone.localdate())
        return f"{row}: written.", row.get_absolute_url()

    start = {"on": timezone.localdate(), "by_whom": person(request)}
    return change_page(
        request, lambda data: ConditionForm(data, instance=ConditionCheck(item=item), initial=start), save,
        heading=f"How {tag} was found", act="Write", back=f"{item.get_absolute_url()}#condition", caution=CAUTION,
    )  # fmt: skip


@needs("change", "holdings.conditioncheck")
def condition_change(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ConditionCheck.objects.select_related("item"), pk=pk)

    def save(form: Any) -> tuple[str, str]:
        saved = save_condition(
            form.save(commit=False), by=request.user, today=timezone.localdate(), reason=reason_in(form)
        )
        return f"{saved}: written.", saved.get_absolute_url()

    return correct_page(
        request, row, lambda data: ConditionForm(data, instance=row), save, heading=f"Correct: {row}",
        back=row.get_absolute_url(), lock_first=lambda: locked(row.item),
    )  # fmt: skip


@needs("change", "holdings.conditioncheck")
def condition_strike(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(ConditionCheck.objects.select_related("item"), pk=pk)
    return strike_page(request, row, heading=f"Strike out: {row}", back=row.get_absolute_url())


@require_GET
@needs("view", "holdings.item")
def api_record(request: HttpRequest, tag: str) -> JsonResponse:
    """``/api/things/T-0001/record``: as ``manage.py record`` gives it."""
    return JsonResponse(record_of(get_object_or_404(Item, tag__iexact=tag)).as_dict(money=may_see_money(request.user)))
