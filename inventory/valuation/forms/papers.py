"""What a paper of a valuation is asked for."""

from datetime import date
from typing import Any

from django import forms

from inventory.holdings.forms.wants import PriceField
from inventory.valuation.forms import USUAL, AppraisalChoice, ValueForm
from inventory.valuation.models import Appraisal
from inventory.valuation.queries.appraisals import appraisals
from inventory.valuation.queries.catalogue import BY_KIND, BY_PLACE
from inventory.valuation.queries.lots import USUAL_JOB_BELOW, USUAL_SHARE, USUAL_SIZE, USUAL_SPARES
from inventory.valuation.queries.schedule import SINGLED_OUT
from inventory.valuation.rules.bases import BASES
from inventory.valuation.wording.papers.kinds import PaperKind


class PaperForm(ValueForm):
    """A valuation as ``ValueForm`` asks for it, or an appraisal; and the settings of the paper."""

    appraisal = AppraisalChoice(
        Appraisal.objects.none(), required=False, label="figures of", empty_label="today's evidence, as asked above",
        help_text="An appraisal stays as it was kept: then its own basis, date, currency and place hold.",
    )  # fmt: skip
    single_out = PriceField(
        required=False, max_digits=12, decimal_places=2, min_value=0, label="single out tubes worth at least",
        help_text=f"Like tubes below that stand in one line. Empty: {SINGLED_OUT}.",
    )  # fmt: skip

    by = forms.ChoiceField(
        choices=[("", "by kind and model"), (BY_PLACE, "by place")], required=False, label="in which order"
    )
    values = forms.BooleanField(required=False, label="with what each is worth")

    share = PriceField(
        required=False, max_digits=5, decimal_places=2, min_value=0, max_value=100, label="reserve, % of the low end",
        help_text=f"Empty: {USUAL_SHARE}.",
    )  # fmt: skip
    size = forms.IntegerField(
        required=False, min_value=1, max_value=500, label="tubes of a type and grade in one lot",
        help_text=f"Empty: {USUAL_SIZE}.",
    )  # fmt: skip
    spares = forms.IntegerField(
        required=False, min_value=0, max_value=500, label="good spares kept of each type that your sets use",
        help_text=f"And one for each empty position. Empty: {USUAL_SPARES}.",
    )  # fmt: skip
    job_below = PriceField(
        required=False, max_digits=12, decimal_places=2, min_value=0, label="job lots of tubes worth less than",
        help_text=f"Lots of tubes below that go together, twelve in each. 0: none. Empty: {USUAL_JOB_BELOW}.",
    )  # fmt: skip
    seller = forms.CharField(required=False, max_length=20, label="seller's tag")
    commission = PriceField(
        required=False, max_digits=5, decimal_places=2, min_value=0, max_value=100, label="commission, %"
    )
    bidders = forms.BooleanField(required=False, label="as bidders may see it, without values and reserves")

    def __init__(self, kind: PaperKind, data: Any = None) -> None:
        super().__init__(data)
        self.kind = kind
        self.fields["appraisal"].queryset = appraisals().filter(struck="")  # type: ignore[attr-defined]
        usual = BASES[kind.basis]
        basis: Any = self.fields["basis"]
        basis.choices = [("", f"{usual.title}, as usual"), *((one.key, one.title) for one in BASES.values())]
        for name in set(SETTINGS) - set(kind.settings):
            del self.fields[name]

    def asked(self, today: date, currency: str = USUAL) -> dict[str, Any]:
        """What ``collection`` is asked for, where no appraisal is chosen."""
        return super().asked(today, currency) | {"basis": self.cleaned_data["basis"] or self.kind.basis}

    @property
    def of_kept(self) -> bool:
        """Whether it asks for the figures of an appraisal. Only of a valid form."""
        return self.cleaned_data["appraisal"] is not None

    def leave_out_sums(self) -> None:
        """What only asks for sums is not offered to whoever may see none."""
        for name in {"appraisal", "values", "basis", "currency", "real"} & set(self.fields):
            del self.fields[name]

    @property
    def settings(self) -> dict[str, Any]:
        """The settings of the paper, what is left out as usual."""
        cells = self.cleaned_data
        return {name: SETTINGS[name] if cells.get(name) in (None, "") else cells[name] for name in self.kind.settings}


#: What is usual where nothing is asked.
SETTINGS: dict[str, Any] = {
    "single_out": SINGLED_OUT, "by": BY_KIND, "values": False, "share": USUAL_SHARE, "size": USUAL_SIZE,
    "spares": USUAL_SPARES, "job_below": USUAL_JOB_BELOW, "seller": "",
    "commission": None, "bidders": False,
}  # fmt: skip
