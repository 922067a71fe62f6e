"""Pages of photographs and papers. Their bytes are handed out here alone, to people who are logged in."""

import hashlib
from typing import Any

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag

from inventory.holdings.actions.papers import add_papers, change_paper, remove_paper
from inventory.holdings.forms.papers import PaperChangeForm, PaperForm, PaperRemoveForm
from inventory.holdings.models import Item, Paper
from inventory.house.access import needs
from inventory.house.edit_pages import change_page, way_back
from inventory.house.history import changes_of
from inventory.house.records.pages import NOT_ASKED, WELCOME, correct_page, reason_in

TYPES = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp", "pdf": "application/pdf"}
ASKED_AGAIN = "private, no-cache"  # kept by the browser, shown only to whoever may see it now (RFC 9111, 5.2.2.4)
CAUTION = (
    "A photograph of the inside is taken with the plate supply off, discharged and proved dead, and no hand, strap or "
    "camera near it otherwise. Local codes and licensed practice come first."
)


def _paper(pk: int) -> Paper:
    return get_object_or_404(Paper.objects.select_related("item", "by"), pk=pk)


@needs("view", "holdings.paper")
def paper_page(request: HttpRequest, pk: int) -> HttpResponse:
    paper = _paper(pk)
    context = {"paper": paper, "item": paper.item, "back": paper.item.get_absolute_url(), "changes": changes_of(paper)}
    return render(request, "holdings/papers_one.html", context)


@needs("view", "holdings.paper")
def paper_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """The paper itself."""
    paper = _paper(pk)
    return _hand_out(request, paper.file, f"{paper.item.tag}-{pk}")


@needs("view", "holdings.paper")
def paper_small(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Its thumbnail; a PDF has none."""
    paper = _paper(pk)
    if not paper.thumbnail:
        raise Http404("This paper has no thumbnail.")
    return _hand_out(request, paper.thumbnail, f"{paper.item.tag}-{pk}-small")


def _hand_out(request: HttpRequest, field: Any, name: str) -> HttpResponseBase:
    """The bytes of a file with the type that we wrote them in: images to look at, all else only to save."""
    suffix = field.name.rsplit(".", 1)[-1]
    kind = TYPES.get(suffix, "application/octet-stream")
    etag = quote_etag(hashlib.sha256(field.name.encode()).hexdigest()[:32])  # a name is given to one content alone
    asked_again = get_conditional_response(request, etag=etag)
    if asked_again is not None:
        asked_again["Cache-Control"] = ASKED_AGAIN
        return asked_again
    try:
        content = field.open("rb")
    except FileNotFoundError as fault:
        raise Http404("The file is not in the store.") from fault
    answer = FileResponse(
        content, as_attachment=not kind.startswith("image/"), filename=f"{name}.{suffix}", content_type=kind
    )
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = "default-src 'none'; sandbox"
    answer["Cache-Control"], answer["ETag"] = ASKED_AGAIN, etag
    return answer


@needs("add", "holdings.paper")
def paper_add(request: HttpRequest, tag: str) -> HttpResponse:
    item = get_object_or_404(Item, tag=tag)

    def save(form: Any) -> tuple[str, str]:
        cells = form.cleaned_data
        made = add_papers(
            item, cells["uploads"], by=request.user, kind=cells["kind"], caption=cells["caption"], dated=cells["dated"],
            stage=cells["stage"],
        )  # fmt: skip
        return f"{len(made)} added to {tag}.", way_back(request, item.get_absolute_url() + "#papers")

    return change_page(
        request, lambda data: PaperForm(data, request.FILES if data is not None else None), save,
        heading=f"Photographs and papers of {tag}", act="Add", back=way_back(request, item.get_absolute_url()),
        caution=CAUTION,
    )  # fmt: skip


@needs("change", "holdings.paper")
def paper_change(request: HttpRequest, pk: int) -> HttpResponse:
    paper, back = _paper(pk), reverse("holdings:paper", args=[pk])

    def save(form: Any) -> tuple[str, str]:
        change_paper(form.save(commit=False), by=request.user, reason=reason_in(form))
        return "Written.", back

    return correct_page(
        request, paper, lambda data: PaperChangeForm(data, instance=paper), save, why=WELCOME,
        heading=f"Change: {paper}", back=back,
    )  # fmt: skip


@needs("delete", "holdings.paper")
def paper_remove(request: HttpRequest, pk: int) -> HttpResponse:
    paper = _paper(pk)

    def save(form: Any) -> tuple[str, str]:
        remove_paper(paper, by=request.user, reason=form.cleaned_data["reason"])
        return f"Removed from {paper.item.tag}.", paper.item.get_absolute_url()

    back = reverse("holdings:paper", args=[pk])
    heading = f"Remove from {paper.item.tag}: {paper}"
    return correct_page(
        request, paper, PaperRemoveForm, save, why=NOT_ASKED,
        heading=heading, act="Remove for good", back=back, grave=True,
    )  # fmt: skip
