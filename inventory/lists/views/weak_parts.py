"""The page that takes a list of weak parts in: shown first what would become of each row, then written."""

import hashlib
import io
from typing import Any

from django.contrib import messages
from django.core.cache import caches
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.lists.actions.files import FileRefused
from inventory.lists.actions.weak_lists import WeakList, read_weak_list, take_in_weak_list
from inventory.lists.forms import WeakListForm
from inventory.restoration.rules.weak_entry import COLUMNS

KEPT_SECONDS = 24 * 3600  # a list that was looked at waits so long to be written
SHOWN = 200  # rows of each sort on the page
GONE = "This list is not kept any more; choose the file again."


@needs("add", "restoration.weakpart")
@needs("add", "restoration.weaksaid")
def weak_parts_in(request: HttpRequest) -> HttpResponse:
    """Upload a list and look at what it says (``?list=``); write it as it was shown (``list`` in the form)."""
    asked = (request.POST.get("list") or request.GET.get("list") or "")[:64]
    kept: dict[str, Any] | None = caches["progress"].get(_key(request, asked)) if asked.isalnum() else None
    if request.method == "POST" and asked:
        return _write(request, kept)
    form = WeakListForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    if request.method == "POST" and form.is_valid():
        cells, upload = form.cleaned_data, form.cleaned_data["file"]
        waiting = {
            "name": upload.name, "content": upload.read(), "order": cells["order"] or None, "sheet": cells["sheet"]
        }  # fmt: skip
        try:
            _read(waiting)
        except FileRefused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else "file", str(refusal))
        else:
            digest = hashlib.sha256(repr(waiting).encode()).hexdigest()
            caches["progress"].set(_key(request, digest), waiting, KEPT_SECONDS)
            messages.info(request, "Read and kept to be looked at. Nothing is written yet.")
            return redirect(f"{reverse('restoration:weak-parts-in')}?list={digest}")
    if asked and kept is None:
        messages.warning(request, GONE)
    found = _read(kept) if kept else None
    context = {
        "form": form, "found": found, "list": asked, "columns": COLUMNS,
        "taken": found.taken[:SHOWN] if found else (), "refused": found.refused[:SHOWN] if found else (),
        "back": reverse("sets:chassis-list"),
    }  # fmt: skip
    return render(request, "lists/weak_parts_in.html", context, status=422 if form.errors else 200)


def _asked(kept: dict[str, Any]) -> tuple[io.BytesIO, str, dict[str, Any]]:
    said = {"today": timezone.localdate(), "order": kept["order"], "sheet": kept["sheet"]}
    return io.BytesIO(kept["content"]), kept["name"], said


def _read(kept: dict[str, Any]) -> WeakList:
    file, name, said = _asked(kept)
    return read_weak_list(file, name, **said)


def _write(request: HttpRequest, kept: dict[str, Any] | None) -> HttpResponse:
    if kept is None:
        messages.error(request, GONE)
        return redirect("restoration:weak-parts-in")
    file, name, said = _asked(kept)
    done = take_in_weak_list(file, name, by=request.user, **said)
    told = f"{done.parts} weak part{'s' * (done.parts != 1)} and {done.words} word{'s' * (done.words != 1)} written"
    messages.success(request, f"{told}; {len(done.refused)} row{'s' * (len(done.refused) != 1)} not taken.")
    return redirect("sets:chassis-list")


def _key(request: HttpRequest, digest: str) -> str:
    return f"weak-parts-in-{request.user.pk}-{digest}"
