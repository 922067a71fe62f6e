"""Readiness, the assignment, spares and the buying order as JSON, as the commands give them."""

from django.core.exceptions import ValidationError
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.house.access import may_see_money, needs
from inventory.restoration.forms import SparesForm
from inventory.restoration.queries.allocation import whole_assignment
from inventory.restoration.queries.answer import Readiness, readiness
from inventory.restoration.queries.assured import parse_some
from inventory.restoration.queries.buying import what_to_buy
from inventory.restoration.queries.cover import plan_or_set
from inventory.restoration.queries.spares import spares_asked
from inventory.restoration.rules.spares import AskedWrong

FIGURES = {"hours": "500", "assurance": "0.95"}


@require_GET
@needs("view", "restoration.plan")
def readiness_of(request: HttpRequest) -> JsonResponse:
    """``/api/readiness?name=C-0001&hours=500&assurance=0.95&enough=6SN7GT:3``: as ``manage.py readiness`` gives it."""
    try:
        found = _asked(request)
    except AskedWrong as refusal:
        return _refused(refusal.field, refusal.text)
    return JsonResponse(found.as_dict())


@require_GET
@needs("view", "restoration.plan")
def allocation(request: HttpRequest) -> JsonResponse:
    """``/api/allocation``, with ``?swap=PLAN&swap=PLAN``: as ``manage.py allocate`` gives it."""
    try:
        return JsonResponse(whole_assignment(request.GET.getlist("swap")))
    except ValueError as refusal:
        return _refused("swap", str(refusal))


@require_GET
@needs("view", "restoration.plan")
def spares(request: HttpRequest) -> JsonResponse:
    """``/api/spares?failures=3&unit_hours=4500&hours=3000``, or ``?type=6SN7GT&hours=3000``: as ``manage.py spares``
    gives it, under the names of its options; ``ages`` with commas between.
    """
    form = SparesForm(request.GET)
    if not form.is_valid():
        return JsonResponse({"errors": form.errors}, status=400)
    try:
        found, of_type = spares_asked(form.cleaned_data, timezone.localdate())
    except AskedWrong as refusal:
        return _refused(refusal.field or "spares", refusal.text)
    except ValidationError as refusal:
        return _refused("type", *refusal.messages)
    except ValueError as refusal:
        return _refused("spares", str(refusal))
    return JsonResponse((of_type or found).as_dict())


@require_GET
@needs("view", "restoration.plan")
def buying_order(request: HttpRequest) -> JsonResponse:
    """``/api/buying-order?name=C-0001&budget=250 EUR&hours=500&assurance=0.95&enough=6SN7GT:3&gaps_first=yes``: as
    ``manage.py buying_order`` gives it; to whoever sees no money no price of the house, and so no step.
    """
    try:
        found = _asked(request)
    except AskedWrong as refusal:
        return _refused(refusal.field, refusal.text)
    try:
        first, money = request.GET.get("gaps_first") == "yes", may_see_money(request.user)
        order = what_to_buy(found, request.GET.get("budget", ""), gaps_first=first, money=money)
    except ValueError as refusal:
        return _refused("budget", str(refusal))
    return JsonResponse(order.as_dict())


def _asked(request: HttpRequest) -> Readiness:
    """The plan or set that is named, for how many hours and how sure. Raises AskedWrong with the field at fault."""
    hours, assurance = _figure(request, "hours"), _figure(request, "assurance")
    try:
        some = parse_some(request.GET.getlist("enough"))
    except ValueError as refusal:
        raise AskedWrong("enough", str(refusal)) from refusal
    name = request.GET.get("name", "")
    try:
        plan_or_set(name)
    except ValueError as refusal:
        raise AskedWrong("name", str(refusal)) from refusal
    try:
        return readiness(name, timezone.localdate(), hours, assurance, some)
    except ValueError as refusal:
        field = str(refusal).split(" ", 1)[0]
        raise AskedWrong(field if field in FIGURES else "enough" if some else "hours", str(refusal)) from refusal


def _figure(request: HttpRequest, key: str) -> float | None:
    text = request.GET.get(key)
    try:
        return float(text) if text else None
    except ValueError as fault:
        raise AskedWrong(key, f"{text!r}: expected a number, such as {FIGURES[key]}") from fault


def _refused(field: str, *texts: str) -> JsonResponse:
    return JsonResponse({"errors": {field: list(texts)}}, status=400)
