"""Forms of plans, their lines, and what was done."""

from typing import Any

from django import forms

from inventory.holdings.forms.tags import ItemTagField
from inventory.holdings.models import Paper
from inventory.house.form_fields import DayField, KeyChoice, KeyChoices, picker
from inventory.restoration.models import Plan, Requirement, Reservation, WeakPart, WeakSaid, Work
from inventory.restoration.queries.assured import parse_some
from inventory.restoration.rules.spares import read_ages
from inventory.restoration.rules.weak import MEANS, VERDICTS
from inventory.sets.queries import chassis_here


class PlanForm(forms.ModelForm):
    as_it_is = forms.BooleanField(
        required=False, label="finished as it is",
        help_text="Though something is not settled that has to be before power.",
    )  # fmt: skip

    class Meta:
        model = Plan
        formfield_callback = picker
        field_classes = {"sets": KeyChoices}
        fields = [
            "name", "aim", "sets", "hours", "assurance", "priority", "state", "may_take", "began", "ended", "note",
            "state_found", "left_doubtful",
        ]  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = chassis_here() if not self.instance.pk else chassis_here() | self.instance.sets.all()
        if Plan.FINISHED not in (self.data.get("state"), self.initial.get("state")) or self.instance.is_finished:
            del self.fields["as_it_is"]
        self.fields["sets"].help_text = "To restore: one set, a plan for each. To keep running: any number."
        self.fields["began"].help_text = "Empty: the day of the first record, or today when it comes to be at work."
        self.fields["ended"].help_text = "Empty: today, when it comes to be finished."
        self.fields["sets"].queryset = rows.select_related("model", "item").distinct()  # type: ignore[attr-defined]


class RequirementForm(forms.ModelForm):
    class Meta:
        model = Requirement
        formfield_callback = picker
        fields = [
            "kind", "words", "type", "quantity", "chassis", "before_power", "waiting_for", "here_on", "done_on", "note",
        ]  # fmt: skip

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


class NewWeakPartForm(WeakPartForm):
    """A weak part with the first word on it, which may stay out."""

    verdict = forms.ChoiceField(
        choices=[("", "nobody said"), *((one, MEANS[one]) for one in VERDICTS)], required=False, label="word on it",
        help_text="Left out, plans take it as one that fails. Others may be added beside it.",
    )  # fmt: skip
    page = forms.CharField(max_length=40, required=False, label="page or leaf of that word")
    on = DayField(required=False, label="date of that word")
    says = forms.CharField(
        max_length=300, required=False, label="what it says", help_text="Readings, how many of how many, what bit."
    )

    field_order = ["mark", "words", "type", "quantity", "why", "verdict", "source", "page", "on", "says"]

    def clean(self) -> dict[str, Any]:
        cells = super().clean() or {}
        if cells.get("verdict") and not cells.get("source"):
            self.add_error("source", "A word wants its source: who says so, where it stands.")
        if not cells.get("verdict") and (beside := [name for name in ("page", "on", "says") if cells.get(name)]):
            self.add_error(beside[0], "This is of a word on it, and none is given: choose one, or leave this empty.")
        return cells

    @property
    def first_word(self) -> WeakSaid | None:
        """The word on it, unsaved; None where none is given. Its source is that of the word alone."""
        cells = self.cleaned_data
        if not cells["verdict"]:
            return None
        return WeakSaid(
            verdict=cells["verdict"], source=cells["source"], page=cells["page"], on=cells["on"], words=cells["says"]
        )


class WeakSaidForm(forms.ModelForm):
    class Meta:
        model = WeakSaid
        formfield_callback = picker
        fields = ["verdict", "source", "page", "on", "words"]


class PhotographChoices(KeyChoices):
    """Photographs, each named by its caption and its day."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj}, {obj.dated or 'without a date'}"


class WorkForm(forms.ModelForm):
    put_in = ItemTagField(required=False, label="tag of the thing or lot put in")
    weak_part = KeyChoice(
        WeakPart.objects.none(), required=False, label="or known weak part of the set",
        help_text="It becomes a line of the plan by this.",
    )  # fmt: skip
    settles = forms.BooleanField(required=False, label="the line is done with it")
    claimed = forms.BooleanField(
        required=False, label="taken on purpose",
        help_text="Only where the lot has too few that are not reserved for something else; so many fewer are then.",
    )  # fmt: skip
    photographs = PhotographChoices(
        queryset=Paper.objects.none(), required=False, widget=forms.CheckboxSelectMultiple,
        help_text="Of those that hang on the set; add them there first.",
    )  # fmt: skip

    class Meta:
        model = Work
        formfield_callback = picker
        fields = [
            "chassis", "words", "requirement", "weak_part", "settles", "on", "at", "taken_out", "put_in", "used",
            "claimed", "came_from", "before", "after", "reversible", "by_whom", "note", "photographs",
        ]  # fmt: skip

    def __init__(self, *args: Any, may_settle: bool = False, may_claim: bool = False, **kwargs: Any) -> None:
        """``may_settle``: whether who fills it in may change a line of the plan; ``may_claim``: what is reserved."""
        super().__init__(*args, **kwargs)
        if not may_settle:
            del self.fields["settles"]
        plan = self.instance.plan
        self.fields["chassis"].queryset = plan.sets.select_related("model", "item")  # type: ignore[attr-defined]
        self.fields["requirement"].queryset = plan.requirements.filter(struck="")  # type: ignore[attr-defined]
        self.fields["requirement"].label = "line of the plan"
        if self.instance.requirement_id:
            del self.fields["weak_part"]
        else:
            parts = WeakPart.objects.filter(set_model__in=plan.sets.values("model"))
            self.fields["weak_part"].queryset = parts  # type: ignore[attr-defined]
        if not (may_claim and Reservation.objects.filter(quantity__isnull=False).exists()):
            del self.fields["claimed"]
        if not self.initial.get("chassis") and len(sets := list(plan.sets.all()[:2])) == 1:
            self.initial["chassis"] = sets[0].pk
        shown = Paper.objects.filter(kind=Paper.PHOTOGRAPH, item__in=plan.sets.values("item")).select_related("item")
        self.fields["photographs"].queryset = shown  # type: ignore[attr-defined]
        if not shown.exists():
            del self.fields["photographs"]


class SparesForm(forms.Form):
    """What ``manage.py spares`` asks, under the same names."""

    type = forms.CharField(
        max_length=80, required=False, help_text="Then its own record, sets and shelf are counted, and no way below."
    )
    in_use = forms.IntegerField(
        min_value=0,
        max_value=100_000,
        required=False,
        label="tubes in use",
        help_text="Empty: one; of a type, those fitted now.",
    )
    hours = forms.FloatField(required=False, label="hours ahead")
    assurance = forms.FloatField(initial=0.95, required=False, label="how sure", help_text="0.95 where it is empty.")
    stock = forms.IntegerField(
        max_value=100_000,
        required=False,
        label="spares there are",
        help_text="Empty: none; of a type, the good ones on the shelf.",
    )
    needed = forms.IntegerField(
        required=False, label="so many of those in use are enough",
        help_text="Where the set does its work with k of its n tubes. Empty: all.",
    )  # fmt: skip
    failures = forms.IntegerField(required=False, label="failures so far")
    unit_hours = forms.FloatField(required=False, label="in how many unit-hours")
    prior_shape = forms.FloatField(
        required=False, label="failures held before that", help_text="Empty: half a one (Jeffreys)."
    )
    prior_hours = forms.FloatField(required=False, label="in how many unit-hours", help_text="Empty: none.")
    rate = forms.FloatField(required=False, label="or failures an hour of one tube", help_text="Constant: 2.5e-5.")
    mean_demand = forms.FloatField(required=False, label="or mean number of failures ahead")
    eta = forms.FloatField(required=False, label="or Weibull lives that wear out: scale in hours")
    beta = forms.FloatField(required=False, label="shape of those lives")
    ages = forms.CharField(
        max_length=500, required=False, label="hours of the tubes in use",
        help_text="Each, with commas between; unknown where not known; the rest are new.",
    )  # fmt: skip

    def clean_ages(self) -> tuple[float | None, ...]:
        try:
            return read_ages(str(self.cleaned_data["ages"]).split(","))
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from fault


class KitForm(forms.Form):
    """How long and how sure the spares of a plan should be enough, and for what money more are bought."""

    hours = forms.FloatField(required=False, label="for how many hours")
    assurance = forms.FloatField(required=False, label="how sure", help_text="For example 0.95.")
    enough = forms.CharField(
        max_length=200, required=False, label="types of which some are enough",
        help_text="6SN7GT:3 where three of those in use do; commas between. No set model keeps that.",
    )  # fmt: skip
    budget = forms.CharField(
        max_length=40,
        required=False,
        help_text="An amount and its currency, such as 250 EUR: what to buy first for it.",
    )
    gaps_first = forms.BooleanField(
        required=False, label="close empty positions first", help_text="Paid from the budget, the cheapest first."
    )

    def clean_enough(self) -> dict[str, int]:
        try:
            return parse_some([text for text in str(self.cleaned_data["enough"]).split(",") if text.strip()])
        except ValueError as fault:
            raise forms.ValidationError(str(fault)) from fault
