"""Forms for photographs and papers."""

from typing import Any

from django import forms
from django.conf import settings

from inventory.holdings.actions.papers import reads_heic
from inventory.holdings.models import Paper
from inventory.house.form_fields import DayField, picker

MOST = 10  # files in one go: they are held in memory until all are found good
ACCEPTED = "image/jpeg,image/png,image/webp,application/pdf"


class FilesInput(forms.ClearableFileInput):
    allow_multiple_selected = True


class FilesField(forms.FileField):
    """Several files, each cleaned as a file field cleans one."""

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        files = data if isinstance(data, list | tuple) else [data]
        return [super(FilesField, self).clean(file, initial) for file in files if file]


class PaperForm(forms.Form):
    shot = forms.FileField(
        required=False, label="take a photograph",
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        help_text="On a phone this opens the camera.",
    )  # fmt: skip
    uploads = FilesField(required=False, label="or choose files", widget=FilesInput(attrs={"accept": ACCEPTED}))
    kind = forms.ChoiceField(choices=Paper.KINDS, initial=Paper.PHOTOGRAPH, label="what it shows")
    caption = forms.CharField(max_length=200, required=False, help_text="Plate, serial, inside, trimmer marks.")
    dated = DayField(required=False, label="date", help_text="Leave empty to take the day that the camera wrote.")
    stage = forms.ChoiceField(
        choices=[("", "---------"), *Paper.STAGES], required=False, label="taken",
        help_text="Of a set at work: where the day alone does not say it.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        heic = reads_heic()
        if heic:
            self.fields["uploads"].widget.attrs["accept"] = f"{ACCEPTED},image/heic,image/heif"
        kinds = "JPEG, PNG, WebP, HEIC or PDF" if heic else "JPEG, PNG, WebP or PDF"
        self.fields["uploads"].help_text = (
            f"Up to {MOST} {kinds} files of {settings.PAPER_MAX_MB} MB each. Where and with what a "
            "picture was taken is removed; a PDF is kept as it is, with whatever its maker wrote into it."
        )

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        chosen = [file for file in [cells.get("shot"), *cells.get("uploads", [])] if file]
        if not chosen and not self.errors:
            self.add_error("uploads", "Take a photograph or choose at least one file.")
        if len(chosen) > MOST:
            self.add_error("uploads", f"{len(chosen)} files; add at most {MOST} in one go.")
        cells["uploads"] = chosen
        return cells


class PaperChangeForm(forms.ModelForm):
    class Meta:
        model = Paper
        formfield_callback = picker
        fields = ["caption", "dated", "stage", "kind"]


class PaperRemoveForm(forms.Form):
    reason = forms.CharField(max_length=100, required=False, help_text="Stays in the history of the thing.")
