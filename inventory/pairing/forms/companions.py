"""Forms for companions and for things mated with one another."""

from typing import Any

from django import forms

from inventory.holdings.forms.tags import ItemTagField
from inventory.holdings.models import Place
from inventory.house.form_fields import FillsInNow, picker
from inventory.pairing.forms.ledger import named
from inventory.pairing.models import Companion, CompanionCheck, CompanionKind
from inventory.sets.models import Chassis, MatedPart, MatedSet
from inventory.sets.queries import chassis_here
from tubes.forms import FrequencyField


class CompanionKindForm(forms.ModelForm):
    class Meta:
        model = CompanionKind
        fields = ["set_model", "name"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["set_model"].disabled = self.instance.pk is not None


class CompanionForm(forms.ModelForm):
    kept_with = named(Chassis.objects.none(), "kept with", required=False)

    class Meta:
        model = Companion
        formfield_callback = picker
        fields = ["kind", "mate_serial", "mate_reading", "serial", "serial_reading", "kept_with", "note"]
        labels = {"serial": "its own serial", "serial_reading": "its own plate"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].queryset = CompanionKind.objects.select_related("set_model")  # type: ignore[attr-defined]
        self.fields["kept_with"].queryset = chassis_here()  # type: ignore[attr-defined]


class NewCompanionForm(CompanionForm):
    field_order = ["kind", "mate_serial", "mate_reading", "place"]
    tag = forms.CharField(max_length=20, required=False, help_text="Leave empty for the next one.")
    place = forms.ModelChoiceField(Place.objects.all(), required=False)


class ComparisonForm(FillsInNow, forms.ModelForm):
    chassis = named(Chassis.objects.none(), "compared with")

    class Meta:
        model = CompanionCheck
        formfield_callback = picker
        fields = ["chassis", "outcome", "on", "at", "by_whom", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sets = chassis_here().filter(model=self.instance.companion.kind.set_model_id)
        self.fields["chassis"].queryset = sets  # type: ignore[attr-defined]


class MatedSetForm(forms.ModelForm):
    class Meta:
        model = MatedSet
        formfield_callback = picker
        fields = ["name", "kind", "number", "note"]


class MatedPartForm(forms.ModelForm):
    item = ItemTagField(required=False, label="the piece, by its tag", help_text="Empty: it is not here.")
    frequency_kc = FrequencyField(label="frequency marked")

    class Meta:
        model = MatedPart
        formfield_callback = picker
        fields = [
            "name", "frequency_kc", "item", "number", "number_reading", "verdict", "compared_on", "compared_by", "note",
        ]  # fmt: skip
