"""Forms of plans, their lines, and what was done."""

from typing import Any

from django import forms

from inventory.holdings.forms.tags import ItemTagField
from inventory.holdings.models import PartType
from inventory.holdings.rules.part_kinds import read_value, show_value
from inventory.house.form_fields import KeyChoices, picker
from inventory.restoration.models import Plan, Requirement, WeakPart, Work
from inventory.sets.queries import chassis_here
from tubes.rules.units import UnitFault


class PlanForm(forms.ModelForm):
    class Meta:
        model = Plan
        formfield_callback = picker
        field_classes = {"sets": KeyChoices}
        fields = [
            "name", "aim", "sets", "hours", "assurance", "priority", "state", "may_take", "began", "ended", "note",
        ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = chassis_here() if not self.instance.pk else chassis_here() | self.instance.sets.all()
        self.fields["sets"].queryset = rows.select_related("model", "item").distinct()  # type: ignore[attr-defined]


class PartTypeForm(forms.ModelForm):
    value_text = forms.CharField(
        max_length=40, required=False, label="value", help_text="With its unit: 0.01 mfd, 270 kohm, 3600 kc."
    )

    class Meta:
        model = PartType
        formfield_callback = picker
        fields = ["kind", "tolerance_pct", "volts", "watts", "construction", "words"]

    field_order = ["kind", "value_text", "tolerance_pct", "volts", "watts", "construction", "words"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.fields["value_text"].initial = show_value(self.instance.kind, self.instance.value)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if "kind" in cleaned:
            try:
                self.instance.value = read_value(cleaned["kind"], cleaned.get("value_text", ""))
            except UnitFault as fault:
                self.add_error("value_text", str(fault))
        return cleaned


class RequirementForm(forms.ModelForm):
    class Meta:
        model = Requirement
        formfield_callback = picker
        fields = ["kind", "words", "type", "quantity", "chassis", "before_power", "waiting_for", "done_on", "note"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = self.instance.plan.sets.select_related("model", "item")
        self.fields["chassis"].queryset = rows  # type: ignore[attr-defined]
        self.fields["chassis"].label = "for which set"


class WeakPartForm(forms.ModelForm):
    class Meta:
        model = WeakPart
        formfield_callback = picker
        fields = ["mark", "words", "type", "quantity", "why", "source"]


class WorkForm(forms.ModelForm):
    put_in = ItemTagField(required=False, label="tag of the thing or lot put in")

    class Meta:
        model = Work
        formfield_callback = picker
        fields = [
            "chassis", "words", "requirement", "on", "at", "taken_out", "put_in", "used", "came_from",
            "before", "after", "reversible", "by_whom", "note",
        ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        plan = self.instance.plan
        self.fields["chassis"].queryset = plan.sets.select_related("model", "item")  # type: ignore[attr-defined]
        self.fields["requirement"].queryset = plan.requirements.filter(struck="")  # type: ignore[attr-defined]
