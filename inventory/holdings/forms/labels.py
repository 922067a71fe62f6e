"""What to print labels of, on which sheet, from which label on."""

import re
from typing import Any

from django import forms

from inventory.holdings.models import Place
from inventory.holdings.queries.labels import label_sheets
from inventory.holdings.rules.tag_runs import with_runs


def tags_in(text: str) -> list[str]:
    """Tags typed with spaces, commas or lines between them; ``T-0003..T-0010`` is a run of tags.

    Raises ValueError for a run that is backward or longer than anybody prints.
    """
    words = re.split(r"[\s,;]+", with_runs(text.upper()))
    return list(dict.fromkeys(filter(None, words)))


class LabelForm(forms.Form):
    THINGS, PLACES = "things", "places"

    tags = forms.CharField(
        label="tags", required=False, widget=forms.Textarea(attrs={"rows": 3, "autocapitalize": "characters"}),
        help_text="With spaces, commas or lines between them. T-0003..T-0010 is a run.",
    )  # fmt: skip
    place = forms.ModelChoiceField(
        Place.objects.all(), required=False, empty_label="no place", label="or all in a place",
        help_text="With everything below it.",
    )  # fmt: skip
    of = forms.ChoiceField(
        choices=[(THINGS, "the things in it"), (PLACES, "the place and the places in it")],
        label="Labels for", initial=THINGS, widget=forms.RadioSelect,
    )  # fmt: skip
    sheet = forms.ChoiceField(label="label sheet")
    start = forms.IntegerField(
        min_value=1, initial=1, label="first label",
        help_text="1 is the label at the top left; count along the rows to start on a sheet already begun.",
    )  # fmt: skip
    copies = forms.IntegerField(min_value=1, max_value=20, initial=1, label="of each")
    borders = forms.BooleanField(required=False, label="draw the edges", help_text="To try the sheet on plain paper.")
    narrowed = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices: Any = [(sheet.key, sheet.title) for sheet in label_sheets()]
        self.fields["sheet"].choices = choices  # type: ignore[attr-defined]
        if self.initial.get("narrowed"):
            self.fields["tags"].help_text += " Empty: all tubes of the narrowed list."

    def clean_tags(self) -> list[str]:
        try:
            return tags_in(self.cleaned_data["tags"])
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from fault

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        sheet = next((s for s in label_sheets() if s.key == cells.get("sheet")), None)
        if sheet and cells.get("start", 1) > sheet.count:
            self.add_error("start", f"This sheet has labels 1 to {sheet.count}; {cells['start']} is not on it.")
        if sheet:
            cells["sheet"] = sheet
        if "tags" in cells and not (cells["tags"] or cells.get("place") or cells.get("narrowed")):
            self.add_error("tags", "Say what to label: type tags, or choose a place.")
        return cells


class BoxListForm(forms.Form):
    paper = forms.ChoiceField(choices=[("A4", "A4"), ("Letter", "Letter")], initial="A4", label="paper")
