"""What hangs on a thing: photographs and papers, and hazards found or looked for."""

from django.conf import settings
from django.db import models

from inventory.holdings.models.register import Item
from inventory.holdings.rules.hazard_kinds import mark_choices
from inventory.house.kept_history import History


class Paper(models.Model):
    """A photograph or a paper of a thing. Its bytes lie in the media store; where it was taken is removed on entry."""

    PHOTOGRAPH, PAPER = "photograph", "paper"
    KINDS = [(PHOTOGRAPH, "photograph"), (PAPER, "paper")]

    BEFORE, DURING, AFTER = "before", "during", "after"
    STAGES = [(BEFORE, "before the work on it"), (DURING, "during the work"), (AFTER, "after the work")]

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="papers")
    kind = models.CharField(max_length=12, choices=KINDS)
    file = models.FileField(upload_to="papers/%Y/%m")
    thumbnail = models.FileField(upload_to="papers/small/%Y/%m", blank=True)
    digest = models.CharField(max_length=64, editable=False)
    caption = models.CharField(max_length=200, blank=True)
    dated = models.DateField("date", null=True, blank=True)
    stage = models.CharField(
        "taken", max_length=6, choices=STAGES, blank=True,
        help_text="Of a set at work: where the day alone does not say it.",
    )  # fmt: skip
    entered_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True)
    history = History(excluded_fields=["thumbnail"])

    class Meta:
        ordering = ["item", "dated", "id"]
        constraints = [models.UniqueConstraint(fields=["item", "digest"], name="one_paper_once_per_thing")]

    def __str__(self) -> str:
        return self.caption or self.get_kind_display()


class HazardMark(models.Model):
    """A hazard of a thing, or the word that it was looked for and not found."""

    PROPOSED, CONFIRMED, NONE_FOUND = "proposed", "confirmed", "none found"
    STANDINGS = [(PROPOSED, "proposed, not checked"), (CONFIRMED, "confirmed"), (NONE_FOUND, "checked, none found")]

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="hazards")
    hazard = models.CharField(max_length=20, choices=mark_choices)
    standing = models.CharField(max_length=12, choices=STANDINGS, default=PROPOSED)
    reason = models.CharField(max_length=200, blank=True)
    on = models.DateField("date")
    by_whom = models.CharField("by whom", max_length=80, blank=True)
    history = History()

    class Meta:
        ordering = ["item", "hazard"]
        constraints = [models.UniqueConstraint(fields=["item", "hazard"], name="one_mark_per_hazard")]

    def __str__(self) -> str:
        return f"{self.hazard}, {self.get_standing_display()}"
