"""The page of the phone, what makes it open without a signal, what it takes along, and where its entries come in."""

import hashlib
import json
from dataclasses import asdict
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from inventory.holdings.models import Place, Tube
from inventory.house.access import may, needs, role_of
from inventory.phone.actions import KINDS, take_entry
from inventory.phone.actions.kinds import EntryKind
from inventory.phone.queries import account_mark, lists_along, seal_of, things_along
from inventory.phone.queries.kept_files import files_digest, kept_files
from inventory.phone.rules.entries import EntryRefused, read_entry
from inventory.running.models import TubeTest

MOST_SENT = 100_000  # letters of one entry


def whose_page(request: HttpRequest) -> dict[str, str]:
    """For every page: the mark of the account that it was made for, by which the phone forgets another's things."""
    user = getattr(request, "user", None)
    return {"account_mark": account_mark(user) if user and user.is_authenticated else ""}


def _shell() -> str:
    """The page as everybody gets it: rendered without the request, so nothing of anybody can stand in it."""
    return render_to_string(
        "phone/page.html", {"kinds": KINDS.values(), "states": Tube.STATES, "shorts": TubeTest.FOUND}
    )


@login_not_required
def page(request: HttpRequest) -> HttpResponse:
    """The page of the phone. It holds no data: what it shows lies in the phone, under the account that is there."""
    return HttpResponse(_shell(), headers={"Cache-Control": "no-cache"})


@login_not_required
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, at the root, so that its scope is the whole house (Service Workers, W3C)."""
    version = hashlib.sha256(f"{files_digest()}{_shell()}".encode()).hexdigest()[:16]
    told = {"version": version, "shell": reverse("phone:page"), "files": kept_files()}
    body = render_to_string("phone/worker.js", {"told": json.dumps(told)})
    return HttpResponse(body, content_type="text/javascript", headers={"Cache-Control": "no-cache"})


@login_not_required
def manifest(request: HttpRequest) -> HttpResponse:
    """How a phone keeps the house on its first screen (Web Application Manifest, W3C)."""
    answer = render(request, "phone/manifest.json", content_type="application/manifest+json")
    answer["Cache-Control"] = "no-cache"
    return answer


@require_GET
@needs("view", "holdings.item")
def along(request: HttpRequest) -> HttpResponse:
    """Who is logged in, and, unless it is asked for ``who`` alone, what a phone takes along: lists, and things of a
    place (``place``: its path; none: everything).
    """
    told: dict[str, Any] = {
        "account": account_mark(request.user), "name": request.user.get_username(), "role": role_of(request.user),
        "token": get_token(request), "seal": seal_of(request.user),
        "kinds": [kind.key for kind in KINDS.values() if may(request.user, kind.verb, kind.model)],
    }  # fmt: skip
    if "who" not in request.GET:
        path = request.GET.get("place", "").replace("\x00", "")
        place = Place.objects.filter(path=path).first() if path else None
        told |= lists_along(lambda model: may(request.user, "view", model))
        told["things"], told["cut"] = things_along(place)
        told |= {"of": place.path if place else "", "at": timezone.now().isoformat(timespec="seconds")}
    return JsonResponse(told, headers={"Cache-Control": "no-store"})


@require_POST
@needs("view", "holdings.item")
def send(request: HttpRequest) -> HttpResponse:
    """One entry in: 200 taken, 409 written under another account, 422 not taken and why, 400 no entry at all."""
    try:
        raw = json.loads(request.body[: MOST_SENT + 1])
        entry = read_entry(raw, timezone.get_current_timezone())
    except (EntryRefused, ValueError, RecursionError) as fault:
        told = str(fault) if isinstance(fault, EntryRefused) else f"No JSON of at most {MOST_SENT} letters."
        return JsonResponse({"taken": False, "because": [["", told]]}, status=400)
    if raw.get("account") != account_mark(request.user):
        told = "It was written under another account, and waits until that one logs in."
        return JsonResponse({"taken": False, "because": [["", told]]}, status=409)

    def barred(kind: EntryKind) -> str:
        allowed = may(request.user, kind.verb, kind.model)
        return "" if allowed else f"Your role ({role_of(request.user) or 'none'}) may not enter {kind.words}."

    answer = take_entry(entry, by=request.user, barred=barred)
    return JsonResponse(asdict(answer), status=200 if answer.taken else 422)
