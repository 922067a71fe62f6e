"""The page that a label is scanned on: by the camera in the browser, or by a photograph that is read here."""

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.holdings.actions.photo_codes import codes_in
from inventory.holdings.forms.label_scan import LabelPhotoForm
from inventory.holdings.queries.label_codes import LabelCode, label_code
from inventory.house.access import needs
from inventory.house.edit_pages import show_refusal


@needs("view", "holdings.item")
def label_scan(request: HttpRequest) -> HttpResponse:
    """Open what the one code of a photograph, or the code in the address (``code``), names; else say what it says."""
    form = LabelPhotoForm(request.POST or None, request.FILES or None)
    codes: list[LabelCode] = []
    looked, status = False, 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            photo = form.cleaned_data["photo"]
            try:
                codes = [_read(request, text) for text in codes_in(photo, photo.name)]
                looked, status = True, 200
            except ValidationError as refusal:
                show_refusal(form, refusal)
    elif text := request.GET.get("code", "").strip():
        codes, looked = [_read(request, text)], True
    if len(codes) == 1 and codes[0].opens:
        return redirect(codes[0].address)
    context: dict[str, Any] = {"form": form, "codes": codes, "unread": looked and not codes}
    return render(request, "holdings/label_scan.html", context, status=status)


def _read(request: HttpRequest, text: str) -> LabelCode:
    return label_code(text, [request.get_host()])
