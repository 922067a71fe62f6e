"""Lists cut into sheets, as pages and as JSON."""

from collections.abc import Sequence
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, JsonResponse

SHEET = 50  # rows on one sheet of a list


def sheet(
    request: HttpRequest, rows: QuerySet[Any] | Sequence[Any], size: int = SHEET, name: str = "page"
) -> Page[Any]:
    """The sheet of a list that the address asks for; a number out of range gives the nearest sheet.

    ``name``: what the address calls it, where a page has two lists (``parts/pager.html`` takes it, too).
    """
    return Paginator(rows, size).get_page(request.GET.get(name))


def sheet_answer(page: Page[Any], name: str, rows: list[Any]) -> JsonResponse:
    """A sheet of a list as JSON: its rows under ``name``; ``count`` is of all sheets."""
    count, pages = page.paginator.count, page.paginator.num_pages
    return JsonResponse({"count": count, "page": page.number, "pages": pages, name: rows})
