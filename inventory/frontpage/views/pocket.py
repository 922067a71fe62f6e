"""The pocket page: one screen on a phone for a number or a tag, and its saved copy for places without a signal."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.frontpage.queries import pocket_answer, saved_copy, serials_wanted
from inventory.house.access import may_see_money, needs
from inventory.sets.queries import chassis_here

YEAR = 365 * 24 * 3600


@needs("view", "holdings.tube")
def pocket(request: HttpRequest) -> HttpResponse:
    text = request.GET.get("q", "")
    on = timezone.localdate()
    sun = request.GET.get("sun") or request.COOKIES.get("sun") or "off"
    price = request.GET.get("price", "")[:40]
    context: dict[str, Any] = {"query": text, "price": price, "sun": sun == "on"}
    if text.strip():
        context["found"] = found = pocket_answer(text, on, price, money=may_see_money(request.user))
        if found.asked.price and not price:  # a price that was typed behind the number stands in its own field
            context |= {"query": f"{found.asked.text} {found.asked.grade}".strip(), "price": str(found.asked.price)}
    else:
        context["wanted"], context["sets"] = serials_wanted(on), chassis_here().exists()
    response = render(request, "frontpage/pocket.html", context)
    if "sun" in request.GET:
        response.set_cookie("sun", "on" if sun == "on" else "off", max_age=YEAR, samesite="Lax", httponly=True)
    return response


@needs("view", "holdings.tube")
def pocket_copy(request: HttpRequest) -> HttpResponse:
    """What the saved copy is and what to leave out; with ``file`` in the address, the copy itself."""
    if "file" not in request.GET:
        return render(request, "frontpage/copy_choice.html")
    on = timezone.localdate()
    money = may_see_money(request.user) and "openly" not in request.GET
    copy = saved_copy(on, with_places="places" in request.GET, money=money)
    response = render(request, "frontpage/saved_copy.html", {"copy": copy})
    response["Content-Disposition"] = f'attachment; filename="filamentry-pocket-{on}.html"'
    response["Cache-Control"] = "no-store"
    return response
