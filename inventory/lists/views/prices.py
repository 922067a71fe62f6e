"""The page that takes a list of prices in: shown first what would become of each row, then written."""

import hashlib
import io
from dataclasses import asdict, dataclass
from typing import Any

from django.contrib import messages
from django.core.cache import caches
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.house.access import needs
from inventory.house.sheets import sheet
from inventory.lists.actions.files import FileRefused
from inventory.lists.actions.price_lists import PriceList, read_prices, take_in_prices
from inventory.lists.forms import PriceListForm
from inventory.lists.wording.price_words import price_list_in_words
from inventory.valuation.rules.entry import COLUMNS

KEPT_SECONDS = 24 * 3600  # a list that was looked at waits so long to be written
SHOWN = 100  # rows of each sort on a sheet
GONE = "This list is not kept any more; choose the file again."


@dataclass(frozen=True)
class _Kept:
    """A list that waits: its name and bytes, and what was said of the whole of it."""

    name: str
    content: bytes
    order: str
    sheet: str
    twice: bool

    def read(self) -> PriceList:
        return read_prices(io.BytesIO(self.content), self.name, today=timezone.localdate(), **self._said())

    def write(self, by: Any) -> PriceList:
        file, today = io.BytesIO(self.content), timezone.localdate()
        return take_in_prices(file, self.name, today=today, by=by, **self._said())

    def _said(self) -> dict[str, Any]:
        return {"order": self.order or None, "sheet": self.sheet, "twice": self.twice}

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.content + repr(self._said()).encode()).hexdigest()


@needs("add", "valuation.priceevidence")
def prices_in(request: HttpRequest) -> HttpResponse:
    """Upload a list and look at what it says (``?list=``); write it as it was shown (``write``)."""
    asked = (request.POST.get("list") or request.GET.get("list") or "")[:64]
    waiting = _waiting(request, asked)
    if request.method == "POST" and asked:
        return _write(request, waiting)
    form = PriceListForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    if request.method == "POST" and form.is_valid():
        upload, cells = form.cleaned_data["file"], form.cleaned_data
        kept = _Kept(upload.name, upload.read(), cells["order"], cells["sheet"], cells["twice"])
        try:
            kept.read()
        except FileRefused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else "file", str(refusal))
        else:
            caches["progress"].set(_key(request, kept.digest), asdict(kept), KEPT_SECONDS)
            messages.info(request, "Read and kept to be looked at. Nothing is written yet.")
            return redirect(f"{reverse('valuation:prices-in')}?list={kept.digest}")
    found = waiting.read() if waiting else None
    if asked and not waiting:
        messages.warning(request, GONE)
    context = {
        "form": form, "found": found, "list": asked, "columns": COLUMNS, **(_sheets(request, found) if found else {}),
        "back": reverse("valuation:prices"), "told": price_list_in_words(found, trial=True) if found else (),
    }  # fmt: skip
    return render(request, "lists/prices_in.html", context, status=422 if form.errors else 200)


def _sheets(request: HttpRequest, found: PriceList) -> dict[str, Any]:
    """All rows, cut into sheets; what is to be looked at stands before all else."""
    return {
        "taken": sheet(request, sorted(found.taken, key=lambda row: not row.odd), SHOWN, "taken"),
        "refused": sheet(request, found.refused, SHOWN, "refused"),
        "alike": sheet(request, found.alike, SHOWN, "alike"),
    }  # fmt: skip


def _write(request: HttpRequest, waiting: _Kept | None) -> HttpResponse:
    if waiting is None:
        messages.error(request, GONE)
        return redirect("valuation:prices-in")
    messages.success(request, " ".join(price_list_in_words(waiting.write(request.user), trial=False)))
    return redirect("valuation:prices")


def _waiting(request: HttpRequest, digest: str) -> _Kept | None:
    kept = caches["progress"].get(_key(request, digest)) if digest.isalnum() else None
    return _Kept(**kept) if kept else None


def _key(request: HttpRequest, digest: str) -> str:
    return f"prices-in-{request.user.pk}-{digest}"
