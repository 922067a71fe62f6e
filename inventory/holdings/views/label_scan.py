"""The page that a label is scanned on: by the camera in the browser, or by a photograph that is read here."""

from typing import Any
from urllib.parse import urlencode

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from inventory.holdings.actions.photo_codes import MOST_CODES, codes_in
from inventory.holdings.forms.label_scan import LabelPhotoForm
from inventory.holdings.queries.label_codes import LabelCode, label_code
from inventory.house.access import needs
from inventory.house.edit_pages import show_refusal

LONGEST_ADDRESS = 3000  # letters; servers in front of the house take at least these


@needs("view", "holdings.item")
def label_scan(request: HttpRequest) -> HttpResponse:
    """Open what the one code of a photograph, or of the address (``code``, any number), names; else say what they say.

    What a photograph says is shown under an address of its own, so that the way back asks for no photograph again.
    """
    form = LabelPhotoForm(request.POST or None, request.FILES or None)
    codes: list[LabelCode] = []
    looked, status = False, 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            photo = form.cleaned_data["photo"]
            try:
                texts = codes_in(photo, photo.name)
                codes, looked, status = [_read(request, text) for text in texts], True, 200
                asked = f"{request.path}?{urlencode({'code': texts}, doseq=True) or 'none=1'}"
                if not (len(codes) == 1 and codes[0].opens) and len(asked) <= LONGEST_ADDRESS:
                    return redirect(asked)
            except ValidationError as refusal:
                show_refusal(form, refusal)
    else:
        texts = list(dict.fromkeys(text.strip() for text in request.GET.getlist("code") if text.strip()))
        codes = [_read(request, text) for text in texts[:MOST_CODES]]
        looked = bool(codes) or "none" in request.GET
    if len(codes) == 1 and codes[0].opens:
        return redirect(codes[0].address)
    context: dict[str, Any] = {"form": form, "codes": codes, "unread": looked and not codes}
    return render(request, "holdings/label_scan.html", context, status=status)


def _read(request: HttpRequest, text: str) -> LabelCode:
    return label_code(text, [request.get_host()])
