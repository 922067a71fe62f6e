"""Kinds of parts by their figures, and like parts in a quantity."""

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import F, Q

from inventory.holdings.models.register import Item, ThingRow
from inventory.holdings.rules.part_kinds import KINDS, RATINGS, PartFigures, kind_choices, show_value
from inventory.house.kept_history import History


def _figure(label: str) -> models.FloatField:
    return models.FloatField(label, null=True, blank=True, validators=[MinValueValidator(0)])


class PartType(models.Model):
    """A part that is no tube, by its figures: what lots are of, and what lines of plans ask for.

    ``value`` is in the unit of its kind, see ``rules.part_kinds``.
    """

    kind = models.CharField(max_length=16, choices=kind_choices)
    value = models.FloatField(null=True, blank=True)
    tolerance_pct = _figure("tolerance, %")
    volts = _figure("rated for, V")
    watts = _figure("rated for, W")
    construction = models.CharField(
        max_length=60, blank=True, help_text="Paper, mica, electrolytic; carbon, wire-wound."
    )
    amps = _figure("rated for, A")
    mounting = models.CharField(max_length=60, blank=True, help_text="Axial, radial, chassis, plug-in; its base.")
    safety_class = models.CharField(
        max_length=6, blank=True, validators=[RegexValidator(r"^[XY][1-4](/[XY][1-4])?$", "Write X1, Y2 or X1/Y2.")],
        help_text="Of capacitors at the mains, as marked (IEC 60384-14): X2, Y1, X1/Y2.",
    )  # fmt: skip
    marking = models.CharField(max_length=80, blank=True, help_text="As marked: a type designation, letters, dots.")
    words = models.CharField("what it is", max_length=120, blank=True, help_text="Where figures do not say it.")
    history = History()

    class Meta:
        ordering = ["kind", "value", "id"]

    def __str__(self) -> str:
        tolerance = f"{self.tolerance_pct:g} %" if self.tolerance_pct else ""
        parts = [
            self.kind if self.kind != "other" else "",
            show_value(self.kind, self.value),
            tolerance,
            self.rated_text,
        ]
        return " ".join(part for part in (*parts, self.construction, self.mounting, self.words) if part) or self.kind

    @property
    def figures(self) -> PartFigures:
        """Its figures as the rules take them."""
        return PartFigures(
            self.kind, self.value, self.tolerance_pct, self.volts, self.watts, self.construction, self.amps,
            self.safety_class, self.words, f"{self.mounting} {self.marking}".strip(),
        )  # fmt: skip

    @property
    def unit(self) -> str:
        """The unit of its value; empty where its kind has none."""
        return KINDS[self.kind].unit

    @property
    def rated_text(self) -> str:
        """What it is rated for, with its class; empty where neither is known."""
        rated = [(getattr(self, name), unit) for name, unit in RATINGS.items()]
        told = [f"{figure:g} {unit}" for figure, unit in rated if figure]
        return " ".join([*told, f"class {self.safety_class}"] if self.safety_class else told)

    @property
    def value_text(self) -> str:
        """Its value as drawings write it; empty where it has none."""
        return show_value(self.kind, self.value)


#: No lot of a collection holds more, whatever number a database can keep.
MOST_HELD = [MaxValueValidator(999_999)]


class PartLot(ThingRow):
    """A lot of like parts. The quantity is what is known, from ``least`` to ``most``; both empty is not zero."""

    item = models.OneToOneField(Item, on_delete=models.PROTECT, primary_key=True, related_name="partlot")
    name = models.CharField(max_length=120, help_text="What it is: capacitor, crystal, knob, cable.")
    value = models.CharField("value or type", max_length=120, blank=True, help_text="As marked, with its unit.")
    type = models.ForeignKey(
        PartType, on_delete=models.PROTECT, null=True, blank=True, related_name="lots", verbose_name="kind of part"
    )
    serial = models.CharField(
        max_length=60, blank=True, help_text="Of a single piece with a number of its own: a meter, a dynamotor."
    )
    maker = models.CharField(max_length=80, blank=True)
    least = models.PositiveIntegerField("at least", null=True, blank=True, validators=MOST_HELD)
    most = models.PositiveIntegerField("at most", null=True, blank=True, validators=MOST_HELD)
    duds = models.PositiveIntegerField(default=0, validators=MOST_HELD, help_text="Known bad ones, not counted above.")
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
        told = f"serial {self.serial}" if self.serial else f"quantity {self.quantity_text}"
        return " · ".join(part for part in (told, self.maker) if part)

    @property
    def quantity_text(self) -> str:
        """The quantity in words: 4, 12 to 15, at least 25, not known."""
        if self.least is None and self.most is None:
            return "not known"
        if self.most is None:
            return f"at least {self.least}"
        return str(self.most) if self.least == self.most else f"{self.least or 0} to {self.most}"
