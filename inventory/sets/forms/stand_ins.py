"""Forms of what may stand in for a part of a set model, and of what sits in a set."""

from typing import Any

from django import forms

from inventory.holdings.queries.stand_ins import stand_in_table
from inventory.house.form_fields import picker
from inventory.sets.models import StandIn, StandInFitted


def general_choices() -> list[tuple[str, str]]:
    """The curated entries as choices; asked late."""
    return [("", "none"), *((row.key, f"{row.replaced}: {row.instead}") for row in stand_in_table())]


class StandInForm(forms.ModelForm):
    general = forms.ChoiceField(
        choices=general_choices, required=False, label="follows the general entry",
        help_text="What is generally known of it is shown beside your words then.",
    )  # fmt: skip

    class Meta:
        model = StandIn
        formfield_callback = picker
        fields = [
            "position", "part", "instead", "verdict", "general", "changes", "reversible", "caution", "source", "on",
        ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = self.instance.set_model.positions.order_by("id")
        self.fields["position"].queryset = rows  # type: ignore[attr-defined]


class StandInFittedForm(forms.ModelForm):
    class Meta:
        model = StandInFitted
        formfield_callback = picker
        fields = ["stand_in", "since", "since_at", "until", "until_at", "note"]
        labels = {"stand_in": "which", "until": "to, if it is out again"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kept = StandIn.objects.filter(pk=self.instance.stand_in_id)
        rows = StandIn.objects.filter(set_model=self.instance.chassis.model_id, struck="") | kept
        field: Any = self.fields["stand_in"]
        field.queryset = rows.select_related("position")
        field.label_from_instance = _told_apart


def _told_apart(row: StandIn) -> str:
    """A word as a picker names it: two on one part may differ in nothing else."""
    return f"{row}: {row.get_verdict_display()} ({row.source}, {row.on})"
