"""Checks for hazards that found none: of one thing, or of all that stands in a place."""

from django.db import models
from django.urls import reverse

from inventory.holdings.models.register import Item
from inventory.holdings.rules.hazard_kinds import mark_choices
from inventory.house.kept_history import History
from inventory.house.records.models import Event


class HazardCheck(Event):
    """Somebody looked at things for hazards and found none. A wrong one is struck out for all of them.

    An empty ``hazard``: every kind was looked for. ``where`` is the path of the place then, where it was of a place.
    """

    things = models.ManyToManyField(Item, related_name="hazard_checks")
    hazard = models.CharField(
        "looked for", max_length=20, blank=True, choices=mark_choices, help_text="Empty: every kind of hazard."
    )
    how = models.CharField(
        "how it was looked for", max_length=200, help_text="Words on parts, dates, a counter beside it, lids off."
    )
    where = models.CharField(max_length=200, blank=True, editable=False)
    history = History(m2m_fields=[things])

    class Meta(Event.Meta):
        pass

    def __str__(self) -> str:
        of = f" of {self.where}" if self.where else ""
        return f"check for {self.hazard or 'hazards'}{of} on {self.on}, none found"

    def get_absolute_url(self) -> str:
        return reverse("holdings:hazard-check", args=[self.pk])
