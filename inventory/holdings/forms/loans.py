"""Forms of loans."""

from django import forms

from inventory.holdings.models import Loan
from inventory.house.form_fields import DayField, picker


class LendForm(forms.Form):
    lent_to = forms.CharField(max_length=120, label="lent to")
    on = DayField(label="date")
    due = DayField(required=False, label="due back on", help_text="Empty where no day is agreed.")
    terms = forms.CharField(max_length=200, required=False, label="for what, on which terms")
    condition = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}), label="condition as it goes",
        help_text="Facts: readings, marks, what goes along with it.",
    )  # fmt: skip


class BackForm(forms.Form):
    on = DayField(label="date")
    condition = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}), label="condition as it comes back"
    )


class BorrowForm(forms.ModelForm):
    class Meta:
        model = Loan
        formfield_callback = picker
        fields = ["who", "since", "due", "terms", "condition", "note"]
        labels = {"who": "from whom"}


class LoanForm(forms.ModelForm):
    class Meta:
        model = Loan
        formfield_callback = picker
        fields = ["who", "since", "due", "terms", "condition", "ended", "condition_back", "note"]
