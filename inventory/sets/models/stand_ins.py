"""What does the work of a part of a set model that is not to be had, on whose word, and in which set it sits."""

from django.db import models
from django.db.models import F, Q

from inventory.house.kept_history import History
from inventory.sets.models.sets import Chassis, Position, SetModel
from inventory.sets.models.stays import Stay


class StandIn(models.Model):
    """Somebody's word that something serves, or does not, in the place of a part of one set model.

    ``general``: the key of the curated row that it follows, whose consequences go for it too. Words that differ on one
    part all stand.
    """

    SERVES, FAILS = "serves", "does not serve"
    VERDICTS = [(SERVES, "it serves here"), (FAILS, "it does not serve here")]
    REVERSIBLE = [("yes", "can be undone"), ("no", "cannot be undone"), ("", "not said")]

    set_model = models.ForeignKey(SetModel, on_delete=models.CASCADE, related_name="stand_ins")
    position = models.ForeignKey(
        Position, on_delete=models.PROTECT, null=True, blank=True, related_name="stand_ins",
        help_text="Where it takes the place of a tube.",
    )  # fmt: skip
    part = models.CharField(
        "part that it replaces", max_length=120, blank=True,
        help_text="With its circuit mark, such as DM1 dynamotor. May be empty where a position is named.",
    )  # fmt: skip
    instead = models.CharField("what is put in its place", max_length=200)
    general = models.CharField("follows the general entry", max_length=40, blank=True)
    verdict = models.CharField("word", max_length=14, choices=VERDICTS, default=SERVES)
    changes = models.TextField(
        "what changes with it here", blank=True,
        help_text="Levels, warm-up, polarity, surge, hum, ground return, weight; readings before and after.",
    )  # fmt: skip
    reversible = models.CharField("can it be undone", max_length=3, choices=REVERSIBLE, blank=True)
    caution = models.CharField("what can hurt", max_length=300, blank=True)
    source = models.CharField("whose word, where it stands", max_length=200)
    on = models.DateField("date")
    struck = models.CharField("struck out because", max_length=200, blank=True, editable=False)
    history = History()

    class Meta:
        # by key, and rows of no position first: databases differ on where empty ones stand
        ordering = ["set_model_id", F("position_id").asc(nulls_first=True), "part", "on", "id"]

    def __str__(self) -> str:
        return f"{self.instead} for {self.replaced}"

    @property
    def replaced(self) -> str:
        """What it takes the place of, in words."""
        mark = self.position.mark if self.position else ""
        return " ".join(filter(None, (mark, self.part)))

    @property
    def serves(self) -> bool:
        return self.verdict == self.SERVES


class StandInFitted(Stay):
    """A stand-in that sits in a set, from a day on."""

    stand_in = models.ForeignKey(StandIn, on_delete=models.PROTECT, related_name="fitted")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="stand_ins")
    history = History()

    class Meta:
        ordering = ["since", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["stand_in", "chassis"], condition=Q(until__isnull=True), name="stand_in_fitted_once"
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="stand_in_out_after_it_went_in"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stand_in} in {self.chassis}"
