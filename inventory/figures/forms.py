"""What can be asked of the figures; page, paper and API share it."""

from typing import Any

from django import forms

from inventory.figures.queries.few import LEAST, MOST, USUAL
from inventory.holdings.models import Place


class FiguresForm(forms.Form):
    few = forms.IntegerField(
        min_value=LEAST, max_value=MOST, required=False, label="Types with fewer good ones than",
        help_text=f"Good tubes on the shelf; {USUAL} unless another number is given.",
    )  # fmt: skip
    within = forms.ModelChoiceField(
        queryset=Place.objects.all(), required=False, label="By place: inside", empty_label="the whole house"
    )

    def asked(self) -> dict[str, Any]:
        """What was asked for, as the question takes it."""
        cells = self.cleaned_data
        return {"enough": cells.get("few") or USUAL, "within": cells.get("within")}
