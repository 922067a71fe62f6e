"""Like parts in a quantity."""

from django.db import models
from django.db.models import F, Q

from inventory.holdings.models.register import Item, ThingRow
from inventory.house.kept_history import History


class PartLot(ThingRow):
    """A lot of like parts. The quantity is what is known, from ``least`` to ``most``; both empty is not zero."""

    item = models.OneToOneField(Item, on_delete=models.PROTECT, primary_key=True, related_name="partlot")
    name = models.CharField(max_length=120, help_text="What it is: capacitor, crystal, knob, cable.")
    value = models.CharField("value or type", max_length=120, blank=True, help_text="As marked, with its unit.")
    maker = models.CharField(max_length=80, blank=True)
    least = models.PositiveIntegerField("at least", null=True, blank=True)
    most = models.PositiveIntegerField("at most", null=True, blank=True)
    duds = models.PositiveIntegerField(default=0, help_text="Known bad ones, not counted above.")
    to_count = models.BooleanField(default=False, help_text="The quantity is a guess and wants counting.")
    condition = models.TextField("condition as seen", blank=True)
    note = models.TextField(blank=True)
    history = History()

    class Meta:
        ordering = ["name", "value", "item_id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(least__isnull=True) | Q(most__isnull=True) | Q(least__lte=F("most")),
                name="parts_least_to_most",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.value}".strip()

    @property
    def label_mark(self) -> str:
        return " · ".join(part for part in (f"quantity {self.quantity_text}", self.maker) if part)

    @property
    def quantity_text(self) -> str:
        """The quantity in words: 4, 12 to 15, at least 25, not known."""
        if self.least is None and self.most is None:
            return "not known"
        if self.most is None:
            return f"at least {self.least}"
        return str(self.most) if self.least == self.most else f"{self.least or 0} to {self.most}"
