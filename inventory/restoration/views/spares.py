"""Pages of spares: how many are enough, of a plan, a set or a question; what to buy first, and on to the want list."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from decimal import Decimal, InvalidOperation
from typing import Any
from urllib.parse import urlencode, urlsplit

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.house.access import may_see_money, needs
from inventory.restoration.actions.wanting import Made, put_on_list, take_off_again
from inventory.restoration.forms import KitForm, SparesForm
from inventory.restoration.models import Plan
from inventory.restoration.queries.answer import answer_of
from inventory.restoration.queries.buying import Bought, what_to_buy
from inventory.restoration.queries.spares import OfType, spares_asked
from inventory.restoration.rules.demand import percent
from inventory.restoration.rules.spares import AskedWrong, Enough
from inventory.restoration.wording import buying_chart
from inventory.sets.models import Chassis

WANTED = "wanted_by_orders"  # what the session remembers: by page the lines of the want list that it wrote last
MORE = 3  # spares beyond those wanted of which the page still tells how sure they are


def _kit(request: HttpRequest, meant: Plan | Chassis, back: str, **more: Any) -> HttpResponse:
    """The spares of a plan or set. What cannot be answered stands beside its field, the rest as if it were empty."""
    form = KitForm(request.GET or None, initial={"gaps_first": True})
    cells = form.cleaned_data if form.is_valid() else {}
    today = timezone.localdate()
    try:
        found = answer_of(meant, today, cells.get("hours"), cells.get("assurance"), cells.get("enough"))
    except ValueError as refusal:
        form.add_error(None, str(refusal))
        found = answer_of(meant, today)
    order = None
    if budget := cells.get("budget"):
        try:
            money = may_see_money(request.user)
            order = what_to_buy(found, budget, gaps_first=cells["gaps_first"], money=money)
        except ValueError as refusal:
            form.add_error("budget", str(refusal))
    context = {
        "found": found, "form": form, "order": order, "chart": order and buying_chart(order), "back": back,
        "made": len(_made_by(request, request.path)), "asked": _asked(form), **more,
    }  # fmt: skip
    return render(request, "restoration/kit.html", context)


def _asked(form: forms.Form) -> list[tuple[str, str]]:
    """What was asked, so that what is sent from the page comes back to the same answer."""
    return [(name, str(form.data[name])) for name in form.fields if form.data.get(name)]


@needs("view", "restoration.plan")
def plan_spares(request: HttpRequest, pk: int) -> HttpResponse:
    """How sure the spares of a plan are for how long, and what to buy first."""
    plan = get_object_or_404(Plan, pk=pk)
    return _kit(request, plan, plan.get_absolute_url(), name=plan.name)


@needs("view", "restoration.plan")
def set_spares(request: HttpRequest, tag: str) -> HttpResponse:
    """The same of a set that is in no plan."""
    chassis = get_object_or_404(Chassis.objects.select_related("model", "item"), item__tag=tag)
    return _kit(request, chassis, reverse("restoration:set", args=[tag]), name=str(chassis))


@needs("view", "restoration.plan")
def spares(request: HttpRequest) -> HttpResponse:
    """What ``manage.py spares`` answers: from a record, a rate, a mean, lives, or what is known here of a type."""
    form = SparesForm(request.GET or None)
    found: Enough | None = None
    of_type: OfType | None = None
    if request.GET and form.is_valid():
        try:
            found, of_type = spares_asked(form.cleaned_data, timezone.localdate())
        except AskedWrong as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, _capital(refusal.text))
        except ValidationError as refusal:
            form.add_error("type", refusal)
        except ValueError as refusal:
            form.add_error(None, _capital(str(refusal)))
    context = {
        "form": form, "found": found, "of_type": of_type, "told": found and _told(found),
        "enough_percent": found and percent(found.assurance()),
    }  # fmt: skip
    return render(request, "restoration/spares.html", context)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _told(found: Enough) -> list[tuple[int, str]]:
    """How sure each number of spares is, up to some more than are wanted."""
    most = max(found.wanted, found.stock) + MORE
    first = max(0, most - 40)
    return [(number, percent(found.assurance(number))) for number in range(first, most + 1)]


def _back_to(request: HttpRequest) -> str:
    """The page of spares from which something was sent, by the plan or set it names, with what was asked there."""
    given = {name: request.POST[f"asked_{name}"] for name in KitForm.base_fields if request.POST.get(f"asked_{name}")}
    asked = f"?{urlencode(given)}" if given else ""
    if tag := request.POST.get("set", "")[:20]:
        return reverse("restoration:set-spares", args=[get_object_or_404(Chassis, item__tag=tag).tag]) + asked
    key = request.POST.get("plan", "")
    plan = get_object_or_404(Plan, pk=int(key) if key.isascii() and key.isdigit() and len(key) < 10 else 0)
    return reverse("restoration:plan-spares", args=[plan.pk]) + asked


@require_POST
@needs("change", "holdings.want")
def want(request: HttpRequest) -> HttpResponse:
    """Put the chosen steps of a buying order on the want list."""
    back = _back_to(request)
    try:
        wanted = put_on_list(
            _together(_bought(text) for text in request.POST.getlist("buy")), request.POST.get("currency", "")[:3],
            purpose=f"spares: {request.POST.get('name', '')}".replace("\0", ""), today=timezone.localdate(),
            by=request.user, add=bool(request.POST.get("besides")),
        )  # fmt: skip
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect(back)
    _remember(request, back, wanted.made)
    (messages.success if wanted.made else messages.warning)(request, " ".join(wanted.told))
    return redirect(back)


def _bought(text: str) -> Bought:
    """``type|number|price`` as the form carries it. Raises ValidationError."""
    try:
        name, number, price = text.split("|")
        return Bought(name, int(number[:6]), Decimal(price[:20]))
    except (ValueError, InvalidOperation) as fault:
        raise ValidationError({"buy": f"{text[:60]!r} is no step of a buying order."}) from fault


def _together(chosen: Iterable[Bought]) -> list[Bought]:
    """What was chosen, what is the same at the same price in one: the page offers what brings little apart."""
    told: dict[tuple[str, Decimal], int] = {}
    for one in chosen:
        told[one.type, one.price] = told.get((one.type, one.price), 0) + one.number
    return [Bought(name, number, price) for (name, price), number in told.items()]


@require_POST
@needs("change", "holdings.want")
def unwant(request: HttpRequest) -> HttpResponse:
    """Take off the want list again what was last put on it from the same page."""
    back = _back_to(request)
    try:
        number = take_off_again(_made_by(request, back), by=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
    else:
        messages.success(request, f"{number} taken back." if number else "There was nothing to take back.")
    _remember(request, back, ())
    return redirect(back)


def _made_by(request: HttpRequest, page: str) -> list[Made]:
    """The lines of the want list that a page of spares wrote last, by its address."""
    return [Made(**one) for one in request.session.get(WANTED, {}).get(urlsplit(page).path, [])]


def _remember(request: HttpRequest, page: str, made: Sequence[Made]) -> None:
    told = {**request.session.get(WANTED, {}), urlsplit(page).path: [asdict(one) for one in made]}
    request.session[WANTED] = {key: rows for key, rows in told.items() if rows}
