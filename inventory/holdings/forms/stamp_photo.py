"""The form of a photograph whose stamps are read: the picture, one form for each candidate, what holds for all."""

import json
import re
from dataclasses import asdict, dataclass
from typing import Any

from django import forms
from django.conf import settings

from inventory.holdings.actions.papers import reads_heic
from inventory.holdings.models import Place, Tube

MOST_ROWS = 30
_JPEG = re.compile(r"data:image/jpeg;base64,[A-Za-z0-9+/]+=*")
_TYPED = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}


def _four(cells: list[Any]) -> tuple[int, int, int, int]:
    left, top, right, bottom = (int(cell) for cell in cells)
    return left, top, right, bottom


def is_jpeg_address(text: str) -> bool:
    """Whether a text is a JPEG as a data address and nothing else."""
    return _JPEG.fullmatch(text) is not None


@dataclass(frozen=True)
class ReadFrom:
    """What a candidate was read from: it travels in the page, since nothing of a picture is put by here.

    ``piece``: the cut-out as a data address; ``box`` in pixels of the picture that the page shows.
    """

    text: str = ""
    score: float = 0.0
    piece: str = ""
    box: tuple[int, int, int, int] = (0, 0, 0, 0)
    against: tuple[str, ...] = ()
    others: tuple[tuple[str, str], ...] = ()
    beside: tuple[str, ...] = ()
    date_in_doubt: str = ""

    def as_text(self) -> str:
        return json.dumps(asdict(self), ensure_ascii=False)

    @classmethod
    def from_text(cls, text: str) -> "ReadFrom":
        """What came back with the page; empty where it is not as it was sent."""
        try:
            cells = json.loads(text)
            return cls(
                str(cells["text"]),
                float(cells["score"]),
                cells["piece"] if is_jpeg_address(cells["piece"]) else "",
                _four(cells["box"]),
                tuple(map(str, cells["against"])),
                tuple((str(name), str(kind)) for name, kind in cells["others"]),
                tuple(map(str, cells["beside"])),
                str(cells["date_in_doubt"]),
            )
        except (ValueError, TypeError, KeyError, RecursionError, OverflowError):
            return cls()


class StampPhotoForm(forms.Form):
    """``digest``: that of the picture that was read; ``overview``: the picture, small; ``rows``: how many; ``key``: of
    this page, under which its tubes are entered once.
    """

    picture = forms.FileField(
        required=False, label="photograph", widget=forms.FileInput(attrs={"accept": "image/*"}), max_length=200
    )
    state = forms.ChoiceField(choices=Tube.STATES, initial=Tube.UNTESTED)
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="no place yet")
    keep = forms.BooleanField(required=False, label="keep the photograph with each of them")
    digest = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    key = forms.CharField(required=False, max_length=36, widget=forms.HiddenInput)
    overview = forms.CharField(required=False, widget=forms.HiddenInput)
    rows = forms.IntegerField(min_value=0, max_value=MOST_ROWS, required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kinds = "JPEG, PNG, WebP or HEIC" if reads_heic() else "JPEG, PNG or WebP"
        self.fields["picture"].help_text = (
            f"One tube or carton, or several with some ground between them: {kinds}, up to {settings.PAPER_MAX_MB} MB. "
            "Near and sharp, light from the side. It is not kept unless you say so below."
        )


class StampRowForm(forms.ModelForm):
    """One candidate; it is entered only where ``take`` is ticked. ``shown``: the text whose reading the page shows."""

    take = forms.BooleanField(required=False, label="right: enter a tube with this stamp, maker and date code")
    choice = forms.CharField(required=False, max_length=80)
    told = forms.CharField(required=False, widget=forms.HiddenInput)
    shown = forms.CharField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Tube
        fields = ["marked", "maker", "date_code"]
        labels = {"marked": "stamp"}
        widgets = {
            "marked": forms.TextInput(attrs=_TYPED),
            "date_code": forms.TextInput(attrs={"autocomplete": "off"}),
        }
        help_texts = {"marked": "", "date_code": ""}

    @property
    def read_from(self) -> ReadFrom:
        return ReadFrom.from_text(self["told"].value() or "")
