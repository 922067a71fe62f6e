"""A header on every page that keeps the browser to this house: nothing is loaded from, sent to or framed by another."""

from collections.abc import Callable

from django.http import HttpRequest
from django.http.response import HttpResponseBase

POLICY = (
    "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
    "object-src 'none'; base-uri 'self'; form-action 'self'; frame-ancestors 'none'"
)


def own_things_only(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Add the policy, unless a page has set one of its own (the saved copy carries its script in itself)."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response

    return answer
