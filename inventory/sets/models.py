"""Set models, chassis and plug-in units by serial, and which tube is fitted where."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from inventory.holdings.models import Item, Tube
from tubes.models import TubeType

READ, UNREADABLE, MISSING = "read", "unreadable", "missing"
SERIAL_READINGS = [(READ, "read"), (UNREADABLE, "plate cannot be read"), (MISSING, "no plate or no number")]


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
    rated_power_w = models.FloatField("rated output, W", null=True, blank=True)
    filament_supply_v = models.FloatField("filament supply, V", null=True, blank=True)
    caution = models.TextField(blank=True, help_text="What can hurt in this model, shown on every page of its chassis.")
    note = models.TextField(blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Position(models.Model):
    """A tube socket of a set model, by its circuit mark."""

    set_model = models.ForeignKey(SetModel, on_delete=models.CASCADE, related_name="positions")
    mark = models.CharField("circuit mark", max_length=12, help_text="For example V101.")
    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, null=True, blank=True, related_name="positions")
    role = models.CharField(max_length=80, blank=True, help_text="For example: power amplifier.")
    heater_branch = models.CharField(
        max_length=12,
        blank=True,
        help_text="Positions with one letter here have their heaters in series, for example A.",
    )
    neutralized = models.BooleanField(
        default=False, help_text="The neutralization depends on the tube in this position."
    )
    history = HistoricalRecords()

    class Meta:
        ordering = ["set_model", "id"]
        constraints = [models.UniqueConstraint(fields=["set_model", "mark"], name="one_position_per_mark")]

    def __str__(self) -> str:
        return f"{self.set_model}:{self.mark}"


class Bay(models.Model):
    """An opening of a set model that takes a plug-in unit."""

    set_model = models.ForeignKey(SetModel, on_delete=models.CASCADE, related_name="bays")
    mark = models.CharField(max_length=20)
    history = HistoricalRecords()

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
    history = HistoricalRecords(m2m_fields=[fits])

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


class Serialled(models.Model):
    """A thing known by the serial on its plate. A serial is text: 01432 is not 1432."""

    item = models.OneToOneField(Item, on_delete=models.PROTECT, primary_key=True, related_name="%(class)s")
    serial = models.CharField(max_length=40, blank=True, help_text="Digit for digit, leading zeros included.")
    serial_reading = models.CharField("plate", max_length=10, choices=SERIAL_READINGS, default=READ)
    note = models.TextField(blank=True)

    class Meta:
        abstract = True

    @property
    def tag(self) -> str:
        return self.item.tag

    @property
    def serial_text(self) -> str:
        """The serial, or why there is none."""
        return self.serial or {UNREADABLE: "serial unreadable", MISSING: "no serial"}.get(
            self.serial_reading, "no serial"
        )


class Chassis(Serialled):
    """One set."""

    model = models.ForeignKey(SetModel, on_delete=models.PROTECT, related_name="chassis")
    history = HistoricalRecords()

    class Meta:
        ordering = ["model__name", "serial", "item_id"]
        verbose_name_plural = "chassis"

    def __str__(self) -> str:
        return f"{self.model} {self.serial_text}"


class PlugInUnit(Serialled):
    """One plug-in unit. Where the maker matched it to a set, its plate bears that set's serial."""

    model = models.ForeignKey(UnitModel, on_delete=models.PROTECT, related_name="units")
    history = HistoricalRecords()

    class Meta:
        ordering = ["model__name", "serial", "item_id"]

    def __str__(self) -> str:
        return f"{self.model} {self.serial_text}"


class Stay(models.Model):
    """A thing somewhere from one day to another; a time of day where it is known. No end: it is still there."""

    since = models.DateField("from")
    since_at = models.TimeField("from, time", null=True, blank=True)
    until = models.DateField("to", null=True, blank=True)
    until_at = models.TimeField("to, time", null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True


class Fitting(Stay):
    """A tube in a position of a chassis."""

    tube = models.ForeignKey(Tube, on_delete=models.PROTECT, related_name="fittings")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="fittings")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="fittings")
    history = HistoricalRecords()

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
    history = HistoricalRecords()

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
