"""How things were found when somebody looked at them."""

from datetime import date

from django.db import models

from inventory.holdings.models.register import Item
from inventory.holdings.rules.hazard_kinds import mark_choices
from inventory.house.kept_history import History
from inventory.house.records.models import Event


class ConditionCheck(Event):
    """Somebody looked at a thing: in which state it was, whether it was complete, when to look again.

    ``by_whom``: who looked. What stands in the ``condition`` of a tube or of a part lot has no day and stays beside.
    """

    COMPLETE, INCOMPLETE = "complete", "incomplete"
    COMPLETENESS = [(COMPLETE, "complete"), (INCOMPLETE, "not complete")]

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="conditions")
    state = models.TextField("state, as seen", help_text="Facts: what is worn, loose, cracked, corroded, repaired.")
    complete = models.CharField("complete", max_length=10, choices=COMPLETENESS, blank=True)
    lacking = models.CharField("what is missing", max_length=200, blank=True)
    hazard = models.CharField("hazard seen", max_length=20, choices=mark_choices, blank=True)
    look_again = models.DateField("look again on", null=True, blank=True)
    history = History()

    class Meta(Event.Meta):
        indexes = [models.Index(fields=["item", "on"])]

    def __str__(self) -> str:
        return f"condition of {self.item} on {self.on}: {self.state[:80]}"

    def get_absolute_url(self) -> str:
        return f"{self.item.get_absolute_url()}#condition"

    @property
    def complete_text(self) -> str:
        """Whether it was complete, and what was missing; empty where nobody said."""
        told = self.get_complete_display() if self.complete else ""
        return ": ".join(filter(None, (told, self.lacking)))

    def due(self, on: date) -> bool:
        """Whether the day on which to look again has come."""
        return self.look_again is not None and self.look_again <= on
