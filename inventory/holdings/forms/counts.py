"""Forms of stock-takes, and for moving many things or a whole box."""

from typing import Any

from django import forms
from django.db.models import Q

from inventory.holdings.actions import REST_LEFT, REST_MISSING
from inventory.holdings.models import Item, Place
from inventory.holdings.queries import things_named
from inventory.holdings.rules.tag_runs import IN_PARTS, MOST, with_runs
from inventory.house.form_fields import DayField

NAMED = 5  # tags that a refusal names


class TagsField(forms.CharField):
    """Tags of things, one a line; cleans to a list of things. A scanned label may hold an address: its end is read."""

    widget = forms.Textarea(attrs={"rows": 6, "autocapitalize": "characters", "spellcheck": "false"})

    def clean(self, value: Any) -> list[Item]:
        try:
            text = with_runs(super().clean(value))
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from fault
        items, unknown = things_named(text)
        if len(items) > MOST:
            raise forms.ValidationError(f"{len(items)} things; at most {MOST} at once. {IN_PARTS}")
        if unknown:
            told = ", ".join(unknown[:NAMED]) + (f" and {len(unknown) - NAMED} more" if len(unknown) > NAMED else "")
            raise forms.ValidationError(f"No tag of the register: {told}. Look at the labels again.")
        return items


class ManyForm(forms.Form):
    """Things to move, or only to mark as seen."""

    tags = TagsField(label="tags", help_text="Type or scan them, one a line. T-0003..T-0010 is a run.")
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="choose a place")
    nowhere = forms.BooleanField(required=False, label="no place: where they are is not known")
    on = DayField(label="date")
    reason = forms.CharField(max_length=200, required=False)
    apart = forms.BooleanField(required=False, label="leave what belongs with them where it is")


class PlaceMoveForm(forms.Form):
    into = forms.ModelChoiceField(Place.objects.none(), required=False, label="into", empty_label="nothing: to the top")
    on = DayField(label="date")
    reason = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, place: Place, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        below = Q(pk=place.pk) | Q(path__startswith=f"{place.path} / ")
        self.fields["into"].queryset = Place.objects.exclude(below)  # type: ignore[attr-defined]


class BeginCountForm(forms.Form):
    place = forms.ModelChoiceField(
        Place.objects.all(),
        required=False,
        empty_label="everything, by a random sample",
        help_text="With what is below.",
    )
    percent = forms.IntegerField(
        min_value=1, max_value=100, required=False, label="share to draw, percent",
        help_text="Only for a random sample: 10 in a hundred each month is a usual plan.",
    )  # fmt: skip
    seed = forms.IntegerField(
        min_value=0, max_value=2_147_483_647, required=False, label="number of the draw",
        help_text="The same number draws the same things. Empty: the next one.",
    )  # fmt: skip
    note = forms.CharField(max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        if "place" in cells and "percent" in cells and bool(cells["place"]) == bool(cells["percent"]):
            text = "Name a place, or a share to draw" + (", not both." if cells["place"] else ".")
            self.add_error("percent", text)
        return cells


class CloseCountForm(forms.Form):
    rest = forms.ChoiceField(
        required=False,
        widget=forms.RadioSelect,
        choices=[
            (REST_MISSING, "not found: looked for, and not there"),
            (REST_LEFT, "not looked for: nothing is said of them"),
        ],
    )
    move_found = forms.BooleanField(required=False, label="move what was found elsewhere to where it was found")
