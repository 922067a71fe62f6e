"""The form that a photograph of a label comes in."""

from typing import Any

from django import forms


class LabelPhotoForm(forms.Form):
    """A photograph; on a phone its camera is asked for one (HTML Media Capture, W3C)."""

    photo = forms.FileField(
        label="photograph of the label",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        help_text="It is read here and not kept.",
    )
    chosen = forms.FileField(
        label="or a picture that is there already",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*"}),
    )

    def clean(self) -> dict[str, Any]:
        """One of the two, as ``photo``."""
        cells: dict[str, Any] = super().clean() or {}
        cells["photo"] = cells.get("photo") or cells.get("chosen")
        if not cells["photo"] and not self.errors:
            self.add_error("photo", "Take a photograph of the label, or choose one.")
        return cells
