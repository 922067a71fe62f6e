"""The form by which a view of a list is kept."""

from typing import Any

from django import forms
from django.http import QueryDict

from inventory.holdings.models import KeptView
from inventory.holdings.models.kept_views import LONGEST_VIEW
from inventory.house.areas import list_named

OF_THE_SHEET = ("page", "ticked")  # what of an address says nothing of the list itself


def list_query(query: QueryDict) -> str:
    """What an address says of a list: without its sheet and what is empty."""
    new = query.copy()
    for name in list(new):
        values = [value for value in new.getlist(name) if value]
        if name in OF_THE_SHEET or not values:
            del new[name]
        else:
            new.setlist(name, values)
    return new.urlencode()


class ViewForm(forms.ModelForm):
    """``usual``: no name; the columns of the address are those that are shown unless told."""

    usual = forms.BooleanField(required=False)
    query = forms.CharField(required=False, max_length=LONGEST_VIEW)

    class Meta:
        model = KeptView
        fields = ["of_list", "name", "query", "shared"]

    def clean_of_list(self) -> str:
        name = str(self.cleaned_data["of_list"])
        try:
            page = list_named(name).page
        except KeyError:
            page = ""
        if not page:
            raise forms.ValidationError("There is no such list.")
        return name

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or self.cleaned_data
        asked = QueryDict(cells.get("query", ""), mutable=True)
        if cells.get("usual"):
            for name in list(asked):
                if name != "columns":
                    del asked[name]
            if not asked:
                self.add_error(None, "Choose columns first, then keep them.")
        elif not cells.get("name", "").strip():
            self.add_error("name", "Give it a name, by which it is found again.")
        cells["query"] = list_query(asked)
        return cells

    def _post_clean(self) -> None:
        """The action checks the row."""
