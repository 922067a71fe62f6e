"""The form that a photograph of a label comes in."""

from django import forms


class LabelPhotoForm(forms.Form):
    """A photograph; on a phone its camera is asked for one (HTML Media Capture, W3C)."""

    photo = forms.FileField(
        label="photograph of the label",
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        help_text="It is read here and not kept.",
    )
