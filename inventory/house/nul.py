"""The sign NUL in what is asked. No name of ours holds it, and PostgreSQL cannot even be asked for it."""

from collections.abc import Callable

from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase

NUL = "\0"


class NoNul:
    """An address with NUL in its path is not there; in a query it is left out. Forms refuse it by themselves."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        asked = request.META.get("QUERY_STRING", "")
        if "%00" in asked or NUL in asked:
            request.META["QUERY_STRING"] = asked.replace("%00", "").replace(NUL, "")
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *args: object) -> None:
        if NUL in request.path:
            raise Http404("No address holds that sign.")
