"""The form of a shelf session."""

from django import forms

from inventory.holdings.models import Place, Tube


class ShelfForm(forms.ModelForm):
    """A stamp and how many; state, place, maker and date code stay as they were for the one before."""

    count = forms.IntegerField(min_value=1, max_value=500, initial=1, label="how many alike")
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="no place yet")

    field_order = ["marked", "count", "state", "place", "maker", "date_code"]

    class Meta:
        model = Tube
        fields = ["marked", "state", "maker", "date_code"]
        labels = {"marked": "stamp"}
        widgets = {
            "marked": forms.TextInput(
                attrs={
                    "autofocus": True,
                    "autocomplete": "off",
                    "autocapitalize": "characters",
                    "spellcheck": "false",
                    "enterkeyhint": "done",
                }
            ),
            "date_code": forms.TextInput(attrs={"autocomplete": "off"}),
        }
        help_texts = {
            "marked": "Type it or scan it, digit for digit. Several alike: VT-231 x6. The same again: a ditto mark "
            "(&quot; or ,,). Enter saves."
        }
