"""Set models, chassis and plug-in units by serial, and which tube is fitted where."""

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from inventory.holdings.models import Item, ThingRow, Tube
from inventory.house.kept_history import History
from inventory.sets.models.stays import Stay
from tubes.models import TubeType

READ, UNREADABLE, MISSING = "read", "unreadable", "missing"
SERIAL_READINGS = [(READ, "read"), (UNREADABLE, "plate cannot be read"), (MISSING, "no plate or no number")]


def plate_words(serial: str, reading: str = READ, tag: str = "") -> str:
    """What a thing is called by: its number; without one its ``tag``, where that is given, and why there is none."""
    if serial.strip() and reading == READ:
        return serial.strip()
    why = "serial unreadable" if reading == UNREADABLE else "no serial"
    return f"{tag} ({why})" if tag else why


class SetModel(models.Model):
    """A model of set: where its neutralizing capacitor sits decides what a neutralization belongs to."""

    IN_UNIT, IN_CHASSIS, NONE = "unit", "chassis", "none"
    NEUTRALIZING = [
        (IN_UNIT, "in the plug-in unit"),
        (IN_CHASSIS, "in the chassis"),
        (NONE, "no neutralized position"),
    ]
    KINDS = [(k, k) for k in ("transmitter", "receiver", "frequency meter", "power unit", "test set", "other")]

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=20, choices=KINDS, default="transmitter")
    neutralizing = models.CharField("neutralizing capacitor", max_length=8, choices=NEUTRALIZING, default=NONE)
    CIRCUITS = [
        ("plate-tap", "tapped plate tank"),
        ("split-stator", "split-stator tank, rotor grounded"),
        ("grid-tap", "tapped grid coil"),
        ("grid-bridge", "grid bridge with bypass"),
        ("cross", "cross-neutralized push-pull"),
    ]

    bridge_circuit = models.CharField("neutralizing circuit", max_length=12, choices=CIRCUITS, blank=True)
    bridge = models.JSONField(
        "taps and capacitances of that circuit", default=dict, blank=True,
        help_text="Keys as the bridge command takes them: np nn ca cb cpk ng nx cgf (turns, pF).",
    )  # fmt: skip
    cn_min_pf = models.FloatField("neutralizing capacitor from, pF", null=True, blank=True)
    cn_max_pf = models.FloatField("neutralizing capacitor to, pF", null=True, blank=True)
    EACH, PARALLEL = "each", "parallel"
    SHARING = [
        (EACH, "each neutralized tube has a capacitor of its own"),
        (PARALLEL, "in parallel on one capacitor"),
    ]
    sharing = models.CharField(
        "neutralized tubes", max_length=8, choices=SHARING, blank=True,
        help_text="In push-pull each has its own; tubes in parallel add their capacitances.",
    )  # fmt: skip
    rated_power_w = models.FloatField("rated output, W", null=True, blank=True)
    filament_supply_v = models.FloatField("filament supply, V", null=True, blank=True)
    filament_winding_a = models.FloatField(
        "filament winding rated, A", null=True, blank=True, validators=[MinValueValidator(0.01)],
        help_text="As the transformer's plate or the handbook says, of the winding of that voltage.",
    )  # fmt: skip
    switched_together = models.BooleanField(
        "plate and filament are switched together", default=False,
        help_text="One switch, no time for a mercury rectifier to warm up before plate voltage.",
    )  # fmt: skip
    on_side = models.BooleanField(
        "stands on its side in use", default=False, help_text="Its rectifiers do not stand upright."
    )
    no_tubes = models.BooleanField(
        "has no tube positions", default=False,
        help_text="Complete as listed: a dynamotor unit, a loudspeaker, a coil chest. Not where nobody looked yet.",
    )  # fmt: skip
    caution = models.TextField(blank=True, help_text="What can hurt in this model, shown on every page of its chassis.")
    note = models.TextField(blank=True)
    history = History()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("sets:model", args=[self.pk])


def _operating(label: str, **more: Any) -> models.FloatField:
    checks = [MinValueValidator(0), MaxValueValidator(1e6)]
    return models.FloatField(label, null=True, blank=True, validators=checks, **more)


class Position(models.Model):
    """A tube socket of a set model, by its circuit mark, with the values the tube there works at."""

    set_model = models.ForeignKey(SetModel, on_delete=models.CASCADE, related_name="positions")
    mark = models.CharField("circuit mark", max_length=12, help_text="For example V101.")
    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, null=True, blank=True, related_name="positions")
    role = models.CharField(max_length=80, blank=True, help_text="For example: power amplifier.")
    heater_branch = models.CharField(
        max_length=12,
        blank=True,
        help_text="A letter for each branch on the filament supply; positions that share one are in series.",
    )
    neutralized = models.BooleanField(
        default=False, help_text="The neutralization depends on the tube in this position."
    )
    matched = models.CharField(
        "matched with", max_length=12, blank=True,
        help_text="A letter; positions of the model that share one want tubes matched to one another.",
    )  # fmt: skip
    heater_v = _operating("heater voltage at the socket, V", help_text="At the pins, behind any dropper, warmed up.")
    plate_v = _operating("plate voltage here, V")
    plate_w = _operating("plate dissipation here, W", help_text="Of one section.")
    screen_v = _operating("screen voltage here, V")
    screen_w = _operating("screen dissipation here, W", help_text="Of one section.")
    output_ma = _operating("dc output here, mA", help_text="Of a rectifier.")
    frequency_mc = _operating("highest frequency here, Mc")
    tuned = models.BooleanField(
        "circuits are tuned here", default=False, help_text="A tube of other capacitances asks for alignment."
    )
    gain_controlled = models.BooleanField(
        "gain is controlled here", null=True, blank=True,
        help_text="By AVC or a gain control on its bias: remote and sharp cutoff are then not alike.",
    )  # fmt: skip
    values_from = models.CharField(
        "where these values are from", max_length=200, blank=True, help_text="Handbook and page, or your own meter."
    )
    history = History()

    class Meta:
        ordering = ["set_model", "id"]
        constraints = [models.UniqueConstraint(fields=["set_model", "mark"], name="one_position_per_mark")]

    def __str__(self) -> str:
        return f"{self.set_model}:{self.mark}"


class Approval(models.Model):
    """Somebody's word that a type may, or may not, stand in one position of one set model: for no other."""

    APPROVED, REFUSED = "approved", "refused"
    VERDICTS = [(APPROVED, "approved here"), (REFUSED, "refused here")]

    position = models.ForeignKey(Position, on_delete=models.CASCADE, related_name="approvals")
    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, related_name="approvals")
    verdict = models.CharField("word", max_length=10, choices=VERDICTS)
    on = models.DateField("date")
    source = models.CharField("whose word, where it stands", max_length=200)
    words = models.CharField("what it says", max_length=300, blank=True, help_text="Conditions, changes, what bit.")
    history = History()

    class Meta:
        ordering = ["position", "type__name", "on", "id"]

    def __str__(self) -> str:
        return f"{self.type} {self.verdict} in {self.position}"


class Bay(models.Model):
    """An opening of a set model that takes a plug-in unit."""

    set_model = models.ForeignKey(SetModel, on_delete=models.CASCADE, related_name="bays")
    mark = models.CharField(max_length=20)
    history = History()

    class Meta:
        ordering = ["set_model", "id"]
        constraints = [models.UniqueConstraint(fields=["set_model", "mark"], name="one_bay_per_mark")]

    def __str__(self) -> str:
        return self.mark


class UnitModel(models.Model):
    """A model of plug-in unit: what it covers and which set models take it."""

    name = models.CharField(max_length=80, unique=True)
    fits = models.ManyToManyField(SetModel, related_name="unit_models", blank=True)
    low_kc = models.FloatField("covers from, kc", null=True, blank=True)
    high_kc = models.FloatField("covers to, kc", null=True, blank=True)
    note = models.TextField(blank=True)
    history = History(m2m_fields=[fits])

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(low_kc__isnull=True) | Q(high_kc__isnull=True) | Q(low_kc__lte=F("high_kc")),
                name="unit_covers_low_to_high",
                violation_error_message="It covers from the lower frequency to the higher one.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        """The list of its units: it has no page of its own."""
        return f"{reverse('sets:unit-list')}?model={self.pk}"


class Serialled(ThingRow):
    """A thing known by the serial on its plate. A serial is text: 01432 is not 1432."""

    item = models.OneToOneField(Item, on_delete=models.PROTECT, primary_key=True, related_name="%(class)s")
    serial = models.CharField(max_length=40, blank=True, help_text="Digit for digit, leading zeros included.")
    serial_reading = models.CharField("plate", max_length=10, choices=SERIAL_READINGS, default=READ)
    note = models.TextField(blank=True)

    class Meta:
        abstract = True

    @property
    def serial_text(self) -> str:
        """The serial, or why there is none: where the tag stands beside it."""
        return plate_words(self.serial, self.serial_reading)

    @property
    def plate(self) -> str:
        """The serial; without one the tag, and why there is none."""
        return plate_words(self.serial, self.serial_reading, self.tag)

    @property
    def untagged(self) -> str:
        """Its name where its tag stands beside it."""
        return f"{self.model} {self.serial_text}"  # type: ignore[attr-defined]

    @property
    def tagged(self) -> str:
        """Its name with its tag, said once."""
        name = str(self)
        return name if self.tag in name else f"{name} ({self.tag})"

    @property
    def label_mark(self) -> str:
        return f"serial {self.serial}" if self.serial else self.serial_text


class Chassis(Serialled):
    """One set."""

    model = models.ForeignKey(SetModel, on_delete=models.PROTECT, related_name="chassis")
    history = History()

    class Meta:
        ordering = ["model__name", "serial", "item_id"]
        verbose_name_plural = "chassis"

    def __str__(self) -> str:
        return f"{self.model} {self.plate}"

    @property
    def label_name(self) -> str:
        return str(self.model)

    @property
    def cautions(self) -> tuple[str, ...]:
        return (self.model.caution,)


class PlugInUnit(Serialled):
    """One plug-in unit. Where the maker matched it to a set, its plate bears that set's serial."""

    model = models.ForeignKey(UnitModel, on_delete=models.PROTECT, related_name="units")
    history = History()

    class Meta:
        ordering = ["model__name", "serial", "item_id"]

    def __str__(self) -> str:
        return f"{self.model} {self.plate}"

    @property
    def label_name(self) -> str:
        return str(self.model)


class Fitting(Stay):
    """A tube in a position of a chassis."""

    tube = models.ForeignKey(Tube, on_delete=models.PROTECT, related_name="fittings")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="fittings")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="fittings")
    history = History()

    class Meta:
        ordering = ["since", "id"]
        constraints = [
            models.UniqueConstraint(fields=["tube"], condition=Q(until__isnull=True), name="tube_fitted_once"),
            models.UniqueConstraint(
                fields=["chassis", "position"], condition=Q(until__isnull=True), name="position_holds_one_tube"
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="fitting_ends_after_it_began"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tube_id} in {self.position_id} of {self.chassis_id}"


class Seating(Stay):
    """A plug-in unit in a bay of a chassis."""

    unit = models.ForeignKey(PlugInUnit, on_delete=models.PROTECT, related_name="seatings")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="seatings")
    bay = models.ForeignKey(Bay, on_delete=models.PROTECT, related_name="seatings")
    history = History()

    class Meta:
        ordering = ["since", "id"]
        constraints = [
            models.UniqueConstraint(fields=["unit"], condition=Q(until__isnull=True), name="unit_seated_once"),
            models.UniqueConstraint(
                fields=["chassis", "bay"], condition=Q(until__isnull=True), name="bay_holds_one_unit"
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="seating_ends_after_it_began"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.unit_id} in {self.bay_id} of {self.chassis_id}"
