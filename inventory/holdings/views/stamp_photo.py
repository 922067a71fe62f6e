"""Stamps read from a photograph. The page holds all that was read; here nothing is kept until a row is confirmed."""

import base64
import io
import uuid
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from PIL import Image

from inventory.holdings.actions.papers import picture_of
from inventory.holdings.actions.shelf import WITHOUT
from inventory.holdings.actions.stamp_photo import digest_of, enter_confirmed
from inventory.holdings.forms.stamp_photo import ReadFrom, StampPhotoForm, StampRowForm, is_jpeg_address
from inventory.holdings.models import Tube
from inventory.holdings.queries import ShelfReading, shelf_readings
from inventory.holdings.queries.photo_engine import INSTALL, EngineBusy, EngineMissing, engine, is_installed
from inventory.holdings.queries.photo_entries import entered_from
from inventory.holdings.queries.stamp_photo import PhotoReading, Proposed, read_photo
from inventory.holdings.views.shelf import KEPT, LAST, MADE
from inventory.house.access import needs
from inventory.house.edit_pages import show_refusal
from tubes.models import TubeType

OVERVIEW, PIECE = 800, 320  # pixels of the longer side: thirty pieces of noise come back within 2.5 MB
CAUTION = (
    "Take the tube out of its set for the picture, when it is cold: glass burns for minutes after. In a set a stamp is "
    "photographed with the plate supply off, discharged and proved dead, and no hand, strap or camera near it "
    "otherwise. Local codes and licensed practice come first."
)


@dataclass
class Row:
    """A candidate as the page shows it."""

    form: StampRowForm
    reading: ShelfReading | None
    told: ReadFrom
    unseen: bool = False  # ticked, but for another text than the one whose reading the page had shown

    @property
    def edited(self) -> bool:
        return bool(self.told.text) and self.form["marked"].value() != self.told.text

    @property
    def others(self) -> list[tuple[str, str, str]]:
        """(text, the word of it that differs, type) of what it could be as well."""
        mine = self.told.text.split()
        return [
            (text, " ".join(word for word in text.split() if word not in mine), type_name)
            for text, type_name in self.told.others
        ]

    @property
    def width(self) -> int:
        return max(self.told.box[2] - self.told.box[0], 1)

    @property
    def height(self) -> int:
        return max(self.told.box[3] - self.told.box[1], 1)

    @property
    def number_y(self) -> int:
        """Where its number stands in the drawing: above the box, or in it at the upper edge."""
        return max(self.told.box[1] - 6, 30)

    @property
    def chosen(self) -> str:
        return str(self.form["choice"].value() or "")


@needs("add", "holdings.tube", what="enter tubes")
def stamp_photo(request: HttpRequest) -> HttpResponse:
    """The photograph in, the candidates out; with ``take`` those that are ticked become tubes."""
    if request.method != "POST":
        return _page(request, StampPhotoForm(), [])
    form = StampPhotoForm(request.POST, request.FILES)
    form.is_valid()
    if "read" in request.POST or not form.cleaned_data.get("rows"):
        return _read(request, form)
    rows = _rows(request, form.cleaned_data["rows"])
    if "take" not in request.POST:
        return _page(request, form, rows)
    if form.is_valid() and (made := _take(request, form, rows)):
        tags = made[0].tag if len(made) == 1 else f"{made[0].tag} to {made[-1].tag}"
        messages.success(request, f"{tags} added: {', '.join(_named(tube) for tube in made)}.")
        return redirect("holdings:stamp-photo")
    return _page(request, form, rows, status=422)


def _named(tube: Tube) -> str:
    return tube.type.name if tube.type else f"{tube.marked} without a type"


def _read(request: HttpRequest, form: StampPhotoForm) -> HttpResponse:
    upload = form.cleaned_data.get("picture")
    if upload is None:
        if not form.has_error("picture"):
            form.add_error("picture", "Choose a photograph first.")
        return _page(request, form, [], status=422)
    try:
        picture = picture_of(upload, upload.name)
        digest = digest_of(upload)
        with engine() as reader:
            found = read_photo(picture, reader)
    except ValidationError as refusal:
        form.add_error("picture", refusal.messages)
        return _page(request, form, [], status=422)
    except (EngineMissing, EngineBusy) as why:
        form.add_error(None, str(why))
        return _page(request, form, [], status=503)
    small = _shrunk(found.picture, OVERVIEW)
    start = _begun(request, form.cleaned_data) | {
        "digest": digest,
        "key": uuid.uuid4().hex,
        "overview": _as_address(small),
        "rows": len(found.proposed),
    }
    shown = StampPhotoForm(initial=start)
    scale = small.width / found.picture.width
    rows = [_row(at, one, found, scale) for at, one in enumerate(found.proposed)]
    return _page(request, shown, rows, found=found, before=entered_from(digest))


def _begun(request: HttpRequest, cells: dict[str, Any]) -> dict[str, Any]:
    """State and place to begin with: as chosen on this page, else untested, at the place of the shelf session."""
    place = cells.get("place") or request.session.get(KEPT, {}).get("place", "")
    return {"state": cells.get("state") or Tube.UNTESTED, "place": place}


def _row(at: int, one: Proposed, found: PhotoReading, scale: float) -> Row:
    candidate = one.candidate
    told = ReadFrom(
        candidate.text,
        candidate.score,
        _as_address(_shrunk(_cut(found.picture, candidate.box), PIECE)),
        tuple(round(edge * scale) for edge in candidate.box),  # type: ignore[arg-type]
        tuple(map(str, candidate.against)),
        tuple((other.text, other.type) for other in candidate.others),
        candidate.beside,
        one.date_in_doubt,
    )
    start = {
        "marked": candidate.text[:80], "maker": one.maker[:80], "date_code": one.date_code, "told": told.as_text(),
        "shown": candidate.text[:80],
    }  # fmt: skip
    return Row(StampRowForm(initial=start, prefix=f"row{at}"), one.reading, told)


def _rows(request: HttpRequest, count: int) -> list[Row]:
    """The rows as they came back, their texts read anew; ``use`` puts another text into one of them.

    A tick is for the reading that stood on the page: where the text is another one now, it is taken off.
    """
    cells = request.POST.copy()
    at, _, text = cells.get("use", "").partition(":")
    if text and at.isdecimal():
        cells[f"row{at}-marked"] = text
    texts = [cells.get(f"row{number}-marked", "")[:80] for number in range(count)]
    unseen = [_untick(cells, f"row{number}", text) for number, text in enumerate(texts)]
    forms = [StampRowForm(cells, prefix=f"row{number}") for number in range(count)]
    readings = shelf_readings(texts)
    return [
        Row(form, reading if text.strip() else None, form.read_from, not_yet)
        for form, text, reading, not_yet in zip(forms, texts, readings, unseen, strict=True)
    ]


def _untick(cells: QueryDict, row: str, text: str) -> bool:
    """Note that the reading of a text is shown now; true where a tick was taken off because it was not before."""
    shown = cells.get(f"{row}-shown", "")
    cells[f"{row}-shown"] = text
    return text.strip() != shown.strip() and bool(cells.pop(f"{row}-take", None))


def _take(request: HttpRequest, form: StampPhotoForm, rows: list[Row]) -> list[Tube]:
    """The tubes that were made of the ticked rows; none where something is refused, which stands in the forms."""
    if unseen := [row for row in rows if row.unseen]:
        for row in unseen:
            row.form.add_error("marked", "It was changed. This is how it is read now: tick it again if it is right.")
        form.add_error(None, "Nothing was entered. Look at what is said beside the texts that were changed.")
        return []
    ticked = [row for row in rows if row.form["take"].value()]
    tubes = [tube for row in ticked if (tube := _confirmed(row, form.cleaned_data["state"]))]
    if len(tubes) < len(ticked):
        form.add_error(None, "Nothing was entered. Look at what is said beside the ticked stamps.")
        return []
    picture = form.cleaned_data.get("picture") if form.cleaned_data["keep"] else None
    if form.cleaned_data["keep"] and not picture:
        form.add_error("picture", "Choose the photograph again, or do not keep it: nothing of it was put by.")
        return []
    place = form.cleaned_data["place"]
    try:
        made = enter_confirmed(
            tubes, by=request.user, on=timezone.localdate(), place=place, picture=picture,
            digest=form.cleaned_data["digest"], key=form.cleaned_data["key"],
        )  # fmt: skip
    except ValidationError as refusal:
        show_refusal(form, refusal)
        return []
    keys, earlier = [one.pk for one in made], request.session.get(MADE, [])
    if keys not in earlier:  # else the button was pressed twice
        request.session[MADE] = [keys, *earlier][:LAST]
    return made


def _confirmed(row: Row, state: str) -> Tube | None:
    """The tube of a ticked row, not yet written; None where the row says no, with the reason in its form."""
    form, reading = row.form, row.reading
    if not form.is_valid() or reading is None:
        return None
    if reading.label_of or reading.address:
        form.add_error("marked", reading.says)
        return None
    kind = reading.type
    if reading.begun and row.chosen != WITHOUT:
        if row.chosen not in dict(reading.begun):
            form.add_error("marked", reading.says)
            return None
        kind = TubeType.objects.get(name=row.chosen)
    tube: Tube = form.save(commit=False)
    tube.state, tube.type = state, kind
    return tube


def _page(
    request: HttpRequest,
    form: StampPhotoForm,
    rows: list[Row],
    *,
    found: PhotoReading | None = None,
    before: str = "",
    status: int = 200,
) -> HttpResponse:
    """``before``: what was entered from the same photograph earlier."""
    installed = is_installed()
    overview = str(form["overview"].value() or "") if rows else ""
    overview = overview if is_jpeg_address(overview) else ""
    context = {
        "form": form, "rows": rows, "found": found, "installed": installed, "install": INSTALL, "caution": CAUTION,
        "before": before, "settled": sum(bool(row.reading and row.reading.type) for row in rows),
        "overview": overview, "size": _size_of(overview),
    }  # fmt: skip
    in_place = request.headers.get("HX-Request")  # htmx puts nothing in place of what is refused
    return render(request, "holdings/stamp_photo.html", context, status=200 if in_place else status)


def _size_of(address: str) -> tuple[int, int]:
    """Width and height of the small picture that the page holds; nothing where it holds none that can be read."""
    try:
        with Image.open(io.BytesIO(base64.b64decode(address.partition(",")[2])), formats=("JPEG",)) as picture:
            return picture.size
    except (ValueError, OSError, Image.DecompressionBombError):
        return 0, 0


def _cut(picture: Image.Image, box: tuple[int, int, int, int]) -> Image.Image:
    left, top, right, bottom = box
    room = max((bottom - top) // 4, 4)
    return picture.crop(
        (max(left - room, 0), max(top - room, 0), min(right + room, picture.width), min(bottom + room, picture.height))
    )


def _shrunk(picture: Image.Image, most: int) -> Image.Image:
    small = picture.copy()
    small.thumbnail((most, most))
    return small


def _as_address(picture: Image.Image) -> str:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=65)
    return "data:image/jpeg;base64," + base64.b64encode(out.getvalue()).decode()
