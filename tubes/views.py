"""Pages about tube types: the list, a type, and the keeper's own rows."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.views.decorators.http import require_POST

from inventory.house.access import may, needs
from inventory.house.edit_pages import change_page
from inventory.house.paper import paper_of, pdf_answer
from inventory.house.records.pages import WELCOME, correct_page, reason_in
from inventory.house.sheets import sheet
from inventory.house.writing import refuse
from tubes.actions import (
    drop_designation,
    drop_limit,
    drop_rating,
    save_designation,
    save_limit,
    save_sheet,
    save_source,
    save_type,
)
from tubes.filters import TypeFilter
from tubes.forms import DesignationForm, LimitForm, SourceForm, TypeForm
from tubes.forms.sheets import SheetForm
from tubes.models import KEEPER, TABLE, Designation, Limit, Rating, Source, TubeType
from tubes.queries import mark_lists, overrules_a_table
from tubes.queries.family import FamilySheet, family_sheet
from tubes.queries.gaps import lacking_words, own_otherwise
from tubes.queries.judging import limit_rows
from tubes.wording.cautions import CHANGING_TUBES
from tubes.wording.family_sheet import shown
from tubes.wording.own_figures import differing


def _address(name: str) -> str:
    return reverse("tubes:type", args=[name])


@needs("view", "tubes.tubetype")
def type_list_page(request: HttpRequest) -> HttpResponse:
    found = TypeFilter(request.GET, queryset=TubeType.objects.all())
    page = sheet(request, found.qs)
    rows = mark_lists(page.object_list)
    return render(request, "tubes/types.html", {"filter": found, "page": page, "rows": rows})


@needs("add", "tubes.tubetype")
def type_add(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        row = save_type(form.save(commit=False), by=request.user)
        return f"Type {row} added.", _address(row.name)

    start = {"name": request.GET.get("name", "")}
    return change_page(
        request,
        lambda data: TypeForm(data, initial=start),
        save,
        heading="A type of your own",
        act="Add",
        back=reverse("tubes:type-list"),
    )


@needs("change", "tubes.tubetype")
def type_change(request: HttpRequest, name: str) -> HttpResponse:
    row = get_object_or_404(TubeType, name=name)

    def make(data: Any) -> Any:
        form = TypeForm(data, instance=row)
        if row.origin != KEEPER:
            form.fields["name"].disabled = True
        return form

    def save(form: Any) -> tuple[str, str]:
        saved = save_type(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"Type {saved} written.", _address(saved.name)

    return correct_page(request, row, make, save, why=WELCOME, heading=f"Type {row}", back=_address(name))


def _asked_for(request: HttpRequest) -> list[tuple[str, str]]:
    """Which kin and which other types a family sheet was asked for with, as its address carries them."""
    asked = [("picked", "yes")] if request.GET.get("picked") else []
    asked += [("kin", name) for name in request.GET.getlist("kin")]
    return asked + ([("also", also)] if (also := request.GET.get("also", "").strip()) else [])


def _family(request: HttpRequest, name: str) -> FamilySheet:
    get_object_or_404(TubeType, name=name)
    chosen = request.GET.getlist("kin") if request.GET.get("picked") or "kin" in request.GET else None
    number = request.GET.get("sheet", "")
    return family_sheet(
        name, chosen, request.GET.get("also", ""), int(number) if number.isdecimal() and len(number) < 4 else 1
    )


@needs("view", "tubes.tubetype")
def family_page(request: HttpRequest, name: str) -> HttpResponse:
    """A type beside its kin; ``?kin=`` (one or several), ``also=`` (names by semicolons), ``sheet=`` (from 1)."""
    sheet, asked = _family(request, name), _asked_for(request)
    here = [("sheet", str(sheet.sheet))] if sheet.sheets > 1 else []
    turn = [(number, urlencode([*asked, ("sheet", number)])) for number in range(1, sheet.sheets + 1)]
    context = {
        "type_name": name,
        "sheet": sheet,
        "shown": shown(sheet),
        "also": request.GET.get("also", ""),
        "turn": [one for one in turn if one[0] != sheet.sheet],
        "asked": urlencode([*asked, *here]),
        "changing": CHANGING_TUBES,
    }
    return render(request, "tubes/family.html", context)


@needs("view", "tubes.tubetype")
def family_paper(request: HttpRequest, name: str) -> HttpResponse:
    """The same sheet as one page of PDF, across the paper."""
    from tubes.wording.family_pdf import family_pdf  # reportlab loads slowly

    body = family_pdf(shown(_family(request, name)), paper=paper_of(request))
    return pdf_answer(body, f"family-{slugify(name)}")


@needs("add", "tubes.source")
def source_add(request: HttpRequest) -> HttpResponse:
    def save(form: Any) -> tuple[str, str]:
        row = save_source(form.save(commit=False), by=request.user)
        return f"Text {row.key} added; choose it when you add a mark or figures.", reverse("tubes:source-list")

    return change_page(
        request, SourceForm, save, heading="A text to rest figures on", act="Add", back=reverse("tubes:type-list")
    )


@needs("add", "tubes.designation")
def designation_add(request: HttpRequest, name: str) -> HttpResponse:
    row = get_object_or_404(TubeType, name=name)
    start = {key: request.GET[key] for key in ("scheme", "designation", "relation") if key in request.GET}

    def make(data: Any) -> Any:
        return DesignationForm(data, initial=start, instance=Designation(type=row))

    def save(form: Any) -> tuple[str, str]:
        new = form.save(commit=False)
        if overrules_a_table(new) and not may(request.user, "change", "tubes.designation"):
            raise refuse("relation", "A row of the tables says otherwise; only a keeper may overrule it.")
        saved = save_designation(new, by=request.user)
        return f"{saved.designation} written for {row}.", _address(name)

    return change_page(request, make, save, heading=f"A mark of {row}", act="Write", back=_address(name))


@require_POST
@needs("change", "tubes.designation")
def designation_drop(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Designation, pk=pk, origin=KEEPER)
    name = row.type.name
    drop_designation(row, by=request.user)
    return redirect("tubes:type", name)


@needs("add", "tubes.rating")
def rating_write(request: HttpRequest, name: str) -> HttpResponse:
    row = get_object_or_404(TubeType, name=name)
    own = Rating.objects.filter(type=row, origin=KEEPER).first() or Rating(type=row, origin=KEEPER)
    if own.pk and not may(request.user, "change", "tubes.rating"):
        raise PermissionDenied("These figures are the keeper's own; only a keeper may change them.")

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        told = {key: cells[key] for key in ("title", "page", "dated", "source", "pins", "grade")}
        save_sheet(form.save(commit=False), **told, by=request.user, reason=reason_in(form))
        beside = differing(own_otherwise().get(name, ()))
        return f"Your figures of {row} are written; they stand before those of the tables.{beside}", _address(name)

    return correct_page(
        request, own, lambda data: SheetForm(data, instance=own), save, why=WELCOME, template="tubes/sheet.html",
        heading=f"Figures of {row}", back=_address(name), lacking=lacking_words(name), own=own if own.pk else None,
        may_change=may(request.user, "change", "tubes.rating"), name=name,
    )  # fmt: skip


@require_POST
@needs("change", "tubes.rating")
def rating_drop(request: HttpRequest, name: str) -> HttpResponse:
    row = get_object_or_404(Rating, type__name=name, origin=KEEPER)
    try:
        drop_rating(row, reason=request.POST.get("why", ""), by=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("tubes:rating-write", name)
    messages.success(request, f"Your figures of {name} are struck out; those of the tables stand again.")
    return redirect("tubes:type", name)


@needs("view", "tubes.source")
def source_list(request: HttpRequest) -> HttpResponse:
    page = sheet(request, Source.objects.order_by("key"))
    return render(request, "tubes/sources.html", {"page": page})


@needs("view", "tubes.limit")
def limit_list(request: HttpRequest) -> HttpResponse:
    """The limits; the keeper's own first, each beside the figure of the tables that it stands before (or None)."""
    tables = dict(Limit.objects.filter(origin=TABLE).values_list("key", "value"))
    rows = [(row, tables.get(row.key)) for row in sorted(limit_rows(), key=lambda row: row.origin != KEEPER)]
    return render(request, "tubes/limits.html", {"rows": rows})


@needs("change", "tubes.limit")
def limit_change(request: HttpRequest, key: str) -> HttpResponse:
    there = get_object_or_404(Limit.objects.select_related("source"), key=key, origin=TABLE)
    own = Limit.objects.filter(key=key, origin=KEEPER).first() or Limit(key=key)

    def save(form: Any) -> tuple[str, str]:
        row = save_limit(form.save(commit=False), by=request.user, reason=reason_in(form))
        return f"{row.meaning}: {row.value:g} {row.unit}. Every judgement goes by it now.", reverse("tubes:limit-list")

    def make(data: Any) -> Any:
        return LimitForm(data, instance=own, initial={} if own.pk else {"value": there.value})

    return correct_page(
        request, own, make, save, why=WELCOME, heading="A limit of your own", template="tubes/limit.html",
        back=reverse("tubes:limit-list"), there=there, own=own if own.pk else None,
    )  # fmt: skip


@require_POST
@needs("change", "tubes.limit")
def limit_drop(request: HttpRequest, key: str) -> HttpResponse:
    row = get_object_or_404(Limit, key=key, origin=KEEPER)
    try:
        drop_limit(row, by=request.user)
    except ValidationError as refusal:
        messages.error(request, " ".join(refusal.messages))
        return redirect("tubes:limit-change", key)
    return redirect("tubes:limit-list")
