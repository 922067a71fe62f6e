"""Answers that are printed: the size of the paper that is asked for, the address that a code on it leads to."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

A4, LETTER = "A4", "Letter"


def paper_of(request: HttpRequest) -> str:
    """The paper that a page was asked for on."""
    asked = (request.POST if request.method == "POST" else request.GET).get("paper")
    return LETTER if asked == LETTER else A4


def site_of(request: HttpRequest) -> Callable[[str], str]:
    """Turns a path into the address that a phone can open: the setting SITE_URL, else as this page was asked for."""
    site = settings.SITE_URL.rstrip("/") or request.build_absolute_uri("/").rstrip("/")
    return lambda path: site + path


def pdf_answer(body: bytes, name: str) -> HttpResponse:
    """A PDF to look at in the browser, kept by nobody on the way."""
    answer = HttpResponse(body, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    answer["Cache-Control"] = "private, no-store"
    return answer
