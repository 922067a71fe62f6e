"""Things that belong to one another and to no set of the register."""

from django.db import models
from django.urls import reverse

from inventory.holdings.models import Item
from inventory.house.kept_history import History
from inventory.sets.models.sets import SERIAL_READINGS


class MatedSet(models.Model):
    """Things that belong to one another and to no set of the register: crystals of a net, a meter and its couple."""

    KINDS = [
        ("net", "crystals of a net"),
        ("meter", "meter and its thermocouple"),
        ("book", "instrument and its book"),
        ("other", "other things that belong together"),
    ]

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=8, choices=KINDS, default="other")
    number = models.CharField(
        "number or mark they share", max_length=40, blank=True, help_text="As on their plates, digit for digit."
    )
    note = models.TextField(blank=True)
    history = History()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("pairing:mated", args=[self.pk])


class MatedPart(models.Model):
    """One place in a mated set: a channel of the net, the thermocouple. Without ``item`` the piece is not here."""

    MATCHED, NOT_MATCHED = "matched", "not matched"
    VERDICTS = [(MATCHED, "belongs with them"), (NOT_MATCHED, "does not belong with them")]

    mated_set = models.ForeignKey(MatedSet, on_delete=models.PROTECT, related_name="parts")
    name = models.CharField("what it is", max_length=60, help_text="For example: channel A, or thermocouple.")
    frequency_kc = models.FloatField("frequency marked, kc", null=True, blank=True)
    item = models.OneToOneField(
        Item, on_delete=models.PROTECT, null=True, blank=True, related_name="mated_part", verbose_name="the piece"
    )
    number = models.CharField("number or mark on it", max_length=40, blank=True)
    number_reading = models.CharField("that number", max_length=10, choices=SERIAL_READINGS, default="read")
    verdict = models.CharField(
        "compared with the others", max_length=12, choices=VERDICTS, blank=True,
        help_text="What a comparison showed; it counts more than the number.",
    )  # fmt: skip
    compared_on = models.DateField("compared on", null=True, blank=True)
    compared_by = models.CharField("compared by", max_length=80, blank=True)
    note = models.TextField(blank=True)
    history = History()

    class Meta:
        ordering = ["mated_set__name", "frequency_kc", "name"]
        constraints = [models.UniqueConstraint(fields=["mated_set", "name"], name="one_part_per_mated_set")]

    def __str__(self) -> str:
        return f"{self.name} of {self.mated_set}"

    def get_absolute_url(self) -> str:
        """The page of its set: it has none of its own."""
        return self.mated_set.get_absolute_url()
