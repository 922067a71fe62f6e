"""What cannot be done just now, through no fault of the person: said in plain words, with nothing half written.

SQLite lets one write at a time, and taking in a long list is one write. Whoever comes in between waits for ``timeout``
seconds (settings), then the database says that it is locked. PostgreSQL says so where it was told not to wait longer.
A store of photographs on another machine may not answer.
"""

import logging
from collections.abc import Callable

from django.db import DatabaseError, OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.http.request import RawPostDataException
from django.http.response import HttpResponseBase
from django.shortcuts import render

logger = logging.getLogger(__name__)

SQLITE_WORDS = ("database is locked", "database table is locked")
POSTGRES_CODES = ("55P03", "40P01")  # PostgreSQL, Appendix A: lock_not_available, deadlock_detected
SQLITE_MISSING = ("no such table", "no such column")
POSTGRES_MISSING = ("42P01", "42703")  # the same appendix: undefined_table, undefined_column
LOAD_WORDS = "manage.py load_reference"  # a limit that a rule asks for is in no table: the rule's own words say so
RETRY_AFTER = "60"  # seconds
BUSY = "A long list is being written just now, so nothing of yours was. Try again in a minute."
NOT_LAID_OUT = "The database is not laid out yet, or by an older version: run `manage.py start` once (or migrate)."
STORE_AWAY = "The store of photographs and papers does not answer; nothing was changed. Try again in a minute."


def why_not_now(fault: BaseException) -> str:
    """What to tell the person, or an empty text where the fault is one of the tool."""
    if is_busy(fault):
        return BUSY
    if is_not_laid_out(fault):
        return NOT_LAID_OUT
    if isinstance(fault, LookupError) and LOAD_WORDS in str(fault):
        return f"{str(fault)[0].upper()}{str(fault)[1:]}."
    drivers = [kind.__module__.split(".")[0] for kind in type(fault).__mro__]
    return STORE_AWAY if "botocore" in drivers else ""  # what django-storages asks an S3-style store with


def _code(fault: BaseException) -> str | None:
    """The code that PostgreSQL gives a fault; SQLite gives words alone."""
    code: str | None = getattr(fault.__cause__, "sqlstate", None)
    return code


def is_not_laid_out(fault: BaseException) -> bool:
    """Whether a table or a column is asked for that the database does not have."""
    if not isinstance(fault, DatabaseError):
        return False
    if code := _code(fault):
        return code in POSTGRES_MISSING
    return any(words in str(fault) for words in SQLITE_MISSING)


def is_busy(fault: BaseException) -> bool:
    """Whether a database refused only because another is writing."""
    code = _code(fault)
    return isinstance(fault, OperationalError) and (code in POSTGRES_CODES or str(fault) in SQLITE_WORDS)


class TellWhenBusy:
    """Answer 503 with a plain page (or JSON under ``/api/``) where something cannot be done just now."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, fault: Exception) -> HttpResponse | None:
        if not (told := why_not_now(fault)):
            return None
        logger.warning("%s: %s", request.path, told, exc_info=fault)  # the person is told; the log keeps where it was
        if request.path.startswith("/api/"):
            answer: HttpResponse = JsonResponse({"fault": told}, status=503)
        else:
            context = {"told": told, "again": request.method == "GET", "sent": _sent(request)}
            answer = render(request, "busy.html", context, status=503)
        answer["Retry-After"] = RETRY_AFTER
        return answer


def _sent(request: HttpRequest) -> list[tuple[str, str]]:
    """The cells of a form, for the page to send them once more: a browser that keeps no page has no form to go back to.

    Empty where a page cannot hold all of it (files, or what is no form) or must not (a password).
    """
    try:
        if request.method != "POST" or request.FILES:
            return []
        cells = [(name, value) for name, values in request.POST.lists() for value in values]
    except (OSError, RawPostDataException):  # it broke off while it came in, or was read in another way
        return []
    return [] if any("password" in name for name, _ in cells) else cells
