"""What is lent out, and what is here on loan: to whom or from whom, until when, and how the thing was."""

from datetime import date

from django.db import models
from django.db.models import Q
from django.urls import reverse

from inventory.holdings.models.register import Item
from inventory.house.kept_history import History

NOT_BACK = "not back:"  # how the condition of a loan begins that ended as the thing left


class Loan(models.Model):
    """One thing out of the house or in it for a time. Over when ``ended`` says so; the row stays.

    ``Item.lent_to`` says of a thing that it is out now; a loan says until when, and how it was when it went and came
    back. A thing that is marked as lent by a list or an older collection may have none.
    """

    OUT, IN = "out", "in"
    WAYS = [(OUT, "lent out"), (IN, "here on loan")]

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="loans")
    way = models.CharField(max_length=3, choices=WAYS, default=OUT)
    who = models.CharField("to whom, or from whom", max_length=120)
    since = models.DateField("since")
    due = models.DateField("due back on", null=True, blank=True, help_text="Empty where no day was agreed.")
    terms = models.CharField("for what, on which terms", max_length=200, blank=True)
    condition = models.TextField(
        "condition when handed over", blank=True, help_text="Facts: readings, marks, what goes along with it."
    )
    ended = models.DateField("back on", null=True, blank=True)
    condition_back = models.TextField("condition when it came back", blank=True)
    note = models.TextField(blank=True)
    history = History()

    class Meta:
        ordering = ["due", "since", "id"]
        constraints = [
            models.UniqueConstraint(fields=["item", "way"], condition=Q(ended__isnull=True), name="one_loan_at_a_time")
        ]

    def __str__(self) -> str:
        return f"{self.item} {'lent to' if self.way == self.OUT else 'on loan from'} {self.who}"

    def get_absolute_url(self) -> str:
        return reverse("holdings:loan", args=[self.pk])

    @property
    def never_back(self) -> bool:
        """Whether it is over because the thing left the collection from where it was lent."""
        return self.ended is not None and self.condition_back.startswith(NOT_BACK)

    def overdue(self, on: date) -> bool:
        """Whether it should have been back before a day."""
        return self.ended is None and self.due is not None and self.due < on
