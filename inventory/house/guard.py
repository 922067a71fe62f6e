"""Headers on every page: the browser keeps to this house (nothing is loaded from, sent to or framed by another), and
keeps no page for whoever comes after on the same machine.
"""

from collections.abc import Callable
from typing import Any

from django.contrib.auth.views import LogoutView
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase

POLICY = (
    "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; "
    "object-src 'none'; base-uri 'self'; form-action 'self'; frame-ancestors 'none'"
)

NOT_KEPT = "private, no-store"  # RFC 9111, 5.2.2.5; a page that says otherwise holds nothing of anybody, or asks again


class LeaveNothing(LogoutView):
    """Log out, and have the browser drop what it cached of this house (Clear Site Data, W3C).

    Not its storage: what still waits in a phone lies there, locked; the script of the pages clears the rest.
    """

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = super().dispatch(request, *args, **kwargs)
        response["Clear-Site-Data"] = '"cache"'
        return response

    def get_success_url(self) -> str:
        """The log-in page, told that somebody left: it clears the phone once more, for what was on its way then."""
        return f"{super().get_success_url()}?left=1"


def own_things_only(
    get_response: Callable[[HttpRequest], HttpResponseBase],
) -> Callable[[HttpRequest], HttpResponseBase]:
    """Add the policy, unless a page has set one of its own (the saved copy carries its script in itself)."""

    def answer(request: HttpRequest) -> HttpResponseBase:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Cache-Control", NOT_KEPT)
        return response

    return answer
