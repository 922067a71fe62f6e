"""Forms for tubes and places, and for moving things."""

from django import forms

from inventory.holdings.models import Place, Tube
from inventory.house.form_fields import DayField, picker
from tubes.forms import TypeField


class TubeForm(forms.ModelForm):
    type = TypeField(
        label="type", help_text="Leave empty to have the mark read. A type or any number with one meaning."
    )

    class Meta:
        model = Tube
        formfield_callback = picker
        fields = [
            "marked",
            "type",
            "state",
            "maker",
            "date_code",
            "condition",
            "acquired_on",
            "acquired_how",
            "acquired_from",
            "note",
        ]


class NewTubeForm(TubeForm):
    count = forms.IntegerField(min_value=1, max_value=500, initial=1, label="how many alike")
    tag = forms.CharField(max_length=20, required=False, help_text="Leave empty for the next one.")
    place = forms.ModelChoiceField(Place.objects.all(), required=False)

    field_order = ["marked", "type", "state", "count", "place", "tag"]


class PlaceForm(forms.ModelForm):
    class Meta:
        model = Place
        fields = ["parent", "code", "name", "note"]


class MoveForm(forms.Form):
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="no place (not known)")
    on = DayField(label="date")
    reason = forms.CharField(max_length=200, required=False)
