"""What happened to pairs of chassis and unit, and what belongs to which set. States are never stored."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from inventory.house.kept_history import History
from inventory.house.records.models import Event
from inventory.pairing.rules.causes import cause_choices
from inventory.pairing.rules.events import DIAL_SET_BACK, NOT_NEUTRALIZED
from inventory.pairing.rules.kept_null import fault_in_fit, fault_in_rows
from inventory.pairing.rules.null_fit import DB, LINEAR, SQUARE_LAW
from inventory.sets.models import SERIAL_READINGS, Chassis, PlugInUnit, Serialled, SetModel


def check_readings(value: Any) -> None:
    """Refuse readings that are no rows of figures."""
    if fault := fault_in_rows(value):
        raise ValidationError(fault)


def check_fit(value: Any) -> None:
    """Refuse a null found that has not the shape of one."""
    if fault := fault_in_fit(value):
        raise ValidationError(fault)


class Neutralization(Event):
    """One unit neutralized on one chassis."""

    METHODS = [
        ("receiver null", "null of the FM on a receiver, constant tone"),
        ("grid current", "least change of grid current"),
        ("rf indicator", "RF indicator, plate supply off"),
        ("other", "another way, see note"),
    ]
    INDICATORS = [
        (LINEAR, "linear: volts, microammeter"),
        (SQUARE_LAW, "square-law: thermocouple, lamp"),
        (DB, "dB"),
    ]

    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="neutralizations")
    unit = models.ForeignKey(PlugInUnit, on_delete=models.PROTECT, related_name="neutralizations")
    setting = models.CharField(
        "dial setting", max_length=40, blank=True, help_text="As read on the neutralizing control."
    )
    frequency_kc = models.FloatField("frequency used, kc", null=True, blank=True)
    method = models.CharField(max_length=20, choices=METHODS, blank=True)
    dial_scale = models.CharField("scale of the dial", max_length=40, blank=True, help_text="For example 0 to 100.")
    readings = models.JSONField(
        "readings around the null",
        default=list,
        blank=True,
        validators=[check_readings],
        help_text="Pairs of setting and reading, as taken.",
    )
    indicator = models.CharField("what the indicator shows", max_length=10, choices=INDICATORS, blank=True)
    null_fit = models.JSONField(
        "null found from them",
        default=dict,
        blank=True,
        editable=False,
        validators=[check_fit],
        help_text="As it was told when the readings were written down.",
    )
    null_reading = models.CharField("reading at the null", max_length=40, blank=True)
    locked = models.BooleanField("lock tightened", null=True, blank=True)
    history = History()

    class Meta(Event.Meta):
        abstract = False
        indexes = [models.Index(fields=["chassis", "unit"])]

    def __str__(self) -> str:
        return f"{self.unit_id} neutralized on {self.chassis_id}, {self.on}"


class Disturbance(Event):
    """Something that may have upset a unit or a chassis with every partner, both of them, or one pair alone."""

    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, null=True, blank=True, related_name="disturbances")
    unit = models.ForeignKey(PlugInUnit, on_delete=models.PROTECT, null=True, blank=True, related_name="disturbances")
    both = models.BooleanField(
        "unit and chassis, each with every partner",
        default=False,
        help_text="Where both are named: either was upset, not only the one with the other.",
    )
    cause = models.CharField(max_length=20, choices=cause_choices)
    history = History()

    class Meta(Event.Meta):
        abstract = False
        constraints = [
            models.CheckConstraint(
                condition=Q(chassis__isnull=False) | Q(unit__isnull=False),
                name="disturbance_of_something",
                violation_error_message="Say which chassis, which unit, or which pair was disturbed.",
            ),
            models.CheckConstraint(
                condition=Q(both=False) | Q(chassis__isnull=False, unit__isnull=False),
                name="disturbance_of_both_names_both",
                violation_error_message="Both were upset: name the chassis and the unit.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.cause}, {self.on}"


class OnAirRecord(Event):
    """What the meters said on the air, or into a dummy load.

    With a unit it tells that the capacitor the two share was set for them then, whatever was done before.
    """

    NEUTRALIZED, SET_BACK, NOT = "neutralized", DIAL_SET_BACK, NOT_NEUTRALIZED
    READIED = [
        (NEUTRALIZED, "neutralized"),
        (SET_BACK, "dial set from the written setting, null not verified"),
        (NOT, "not neutralized"),
    ]

    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="on_air_records")
    unit = models.ForeignKey(PlugInUnit, on_delete=models.PROTECT, null=True, blank=True, related_name="on_air_records")
    readied = models.CharField("before it went on the air", max_length=12, choices=READIED, blank=True)
    frequency_kc = models.FloatField("frequency, kc", null=True, blank=True)
    supply_v = models.FloatField("plate supply, V", null=True, blank=True)
    filament_v = models.FloatField("filament supply, V", null=True, blank=True)
    filament_a = models.FloatField("filament current, A", null=True, blank=True)
    plate_ma = models.FloatField("plate current, mA", null=True, blank=True)
    antenna_a = models.FloatField("antenna current, A", null=True, blank=True)
    antenna_scale_a = models.FloatField("full scale of that meter, A", null=True, blank=True)
    output_w = models.FloatField("output, W", null=True, blank=True)
    load_ohm = models.FloatField("load, ohm", null=True, blank=True)
    history = History()

    class Meta(Event.Meta):
        abstract = False

    def __str__(self) -> str:
        return f"{self.chassis_id} on the air, {self.on}"


class CompanionKind(models.Model):
    """A thing that every set of a model should have with it: a calibration book, a coil set, a crystal."""

    set_model = models.ForeignKey(SetModel, on_delete=models.CASCADE, related_name="companion_kinds")
    name = models.CharField(max_length=60)
    history = History()

    class Meta:
        ordering = ["set_model__name", "name"]
        constraints = [models.UniqueConstraint(fields=["set_model", "name"], name="one_companion_kind_per_model")]

    def __str__(self) -> str:
        return f"{self.name} of {self.set_model}"


class Companion(Serialled):
    """One such thing; ``mate_serial`` is the serial of the set it says it belongs to (often its only number)."""

    kind = models.ForeignKey(CompanionKind, on_delete=models.PROTECT, related_name="companions")
    mate_serial = models.CharField(
        "belongs to serial", max_length=40, blank=True, help_text="As printed or written on it."
    )
    kept_with = models.ForeignKey(
        Chassis, on_delete=models.PROTECT, null=True, blank=True, related_name="companions", verbose_name="kept with"
    )
    mate_reading = models.CharField("that number", max_length=10, choices=SERIAL_READINGS, default="read")
    history = History()

    class Meta:
        ordering = ["kind__name", "mate_serial", "item_id"]

    def __str__(self) -> str:
        return f"{self.kind.name} {self.serial or self.mate_serial or 'without number'}"

    @property
    def label_name(self) -> str:
        return str(self.kind.name)

    @property
    def label_mark(self) -> str:
        number = f"no. {self.serial}" if self.serial else ""
        mate = f"belongs to {self.mate_serial}" if self.mate_serial else ""
        return ", ".join(part for part in (number, mate) if part)


class CompanionCheck(Event):
    """Somebody compared a companion with a set and said whether the two belong together."""

    MATCHED, NOT_MATCHED = "matched", "not matched"
    OUTCOMES = [(MATCHED, "matched"), (NOT_MATCHED, "not matched")]

    companion = models.ForeignKey(Companion, on_delete=models.PROTECT, related_name="checks")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="companion_checks")
    outcome = models.CharField(max_length=12, choices=OUTCOMES)
    history = History()

    class Meta(Event.Meta):
        abstract = False

    def __str__(self) -> str:
        return f"{self.companion_id} {self.outcome} {self.chassis_id}"
