"""The first page, the look-up, a type's page with what is owned, and the health probe."""

from dataclasses import replace
from typing import Any

from django.contrib.auth.decorators import login_not_required
from django.db.models import Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.frontpage.queries import SHOWN_ON_PAGE, bench_report, look_up, pieces_for, search_all, tag_not_here
from inventory.frontpage.wording.bench import fitted_in_words
from inventory.holdings.queries import unsettled_of
from inventory.house.access import needs
from inventory.lists.queries.uncounted import uncounted_marked, uncounted_of
from inventory.sets.queries import stock_of
from inventory.sets.queries.doubts import said_of_good
from inventory.sets.queries.sockets import positions_wanting
from tubes.models import TubeType
from tubes.queries import type_card
from tubes.queries.card_figures import figures_on_page
from tubes.queries.family import base_of
from tubes.queries.gaps import lacking_words
from tubes.queries.handbook import handbook_of, told_of_marks
from tubes.queries.judging import court
from tubes.queries.reference import doubts_of
from tubes.wording.base_diagrams import drawing_of


@needs("view", "holdings.tube")
def home(request: HttpRequest) -> HttpResponse:
    report = bench_report(timezone.localdate(), SHOWN_ON_PAGE)
    return render(request, "frontpage/home.html", {"report": report, "fitted_words": fitted_in_words(report)})


@needs("view", "holdings.tube")
def look_up_page(request: HttpRequest) -> HttpResponse:
    text = request.GET.get("q", "")
    found = look_up(text) if text.strip() else None
    context: dict[str, Any] = {
        "found": found,
        "query": text,
        "others": search_all(text),
        "pieces": pieces_for(found) if found else [],
        "uncounted": uncounted_marked(text) if found else [],
    }
    told = ("others", "pieces", "uncounted")
    context["nothing"] = bool(found and not found.matches) and not any(context[name] for name in told)
    context["no_tag"] = tag_not_here(text) if context["nothing"] else ""
    return render(request, "frontpage/look_up.html", context)


@needs("view", "tubes.tubetype")
def type_page(request: HttpRequest, name: str) -> HttpResponse:
    try:
        card = type_card(name)
        card = replace(card, figures=figures_on_page(card))
    except TubeType.DoesNotExist as fault:
        raise Http404(f"No type {name} is known here.") from fault
    same = (name, *card.same)
    diagram = base_of(name)
    context = {
        "card": card,
        "type": TubeType.objects.get(name=name),
        "stock": replace(stock_of(same), said=said_of_good(Q(type__name__in=same)).of(same)),
        "uncounted": uncounted_of(same),
        "unsettled": len(unsettled_of(name)),
        "positions": positions_wanting(same),
        "drawing": drawing_of(diagram, name) if diagram else None,
        "book": handbook_of(name),
        "book_marks": told_of_marks(name),
        "lacking": lacking_words(name),
        "zero_bias": court()[name].form.zero_bias,
        "doubts": doubts_of(frozenset(same) | {mark.designation for mark in card.marks}),
    }
    return render(request, "tubes/type.html", context)


@login_not_required
def health(request: HttpRequest) -> HttpResponse:
    """Answers without a login that the program runs; says nothing about the collection."""
    return HttpResponse("ok", content_type="text/plain")
