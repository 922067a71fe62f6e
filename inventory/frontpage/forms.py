"""What the list of missing figures can be narrowed by."""

from django import forms

from inventory.frontpage.queries.gaps import reference_gaps
from inventory.house.filters import LONGEST
from tubes.rules.gaps import LABELS, Gap
from tubes.rules.tables import KINDS
from tubes.rules.text import fold_key


class GapForm(forms.Form):
    """``found`` gives the types that a valid form asks for."""

    text = forms.CharField(max_length=LONGEST, required=False, label="Type begins with")
    kind = forms.ChoiceField(
        choices=[("", "every one"), ("unknown", "not known"), *((k, k.replace("-", " ")) for k in KINDS)],
        required=False, label="Kind",
    )  # fmt: skip
    lacking = forms.ChoiceField(choices=[("", "anything"), *LABELS.items()], required=False, label="Lacking")
    every = forms.BooleanField(required=False, label="Also types that are neither owned nor wanted here")

    def found(self) -> list[Gap]:
        cells = self.cleaned_data
        key, kind, what = fold_key(cells["text"]), cells["kind"], cells["lacking"]
        return [
            gap
            for gap in reference_gaps(every=cells["every"])
            if fold_key(gap.type).startswith(key)
            and (not kind or gap.kind == ("" if kind == "unknown" else kind))
            and (not what or what in gap.lacking)
        ]
