"""What ran and for how long, what was measured with which instrument, which tubes were matched. Hours are computed."""

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from inventory.holdings.models import Item, Tube
from inventory.house.kept_history import History
from inventory.house.records.models import Event, Record
from inventory.running.rules import words
from inventory.running.rules.run_log import RunFact, hours_of
from inventory.running.rules.settings import Settings
from inventory.sets.models import Chassis
from tubes.models import TubeType

STANDINGS = [(words.KNOWN, "known"), (words.ESTIMATED, "estimated"), (words.UNKNOWN, "not known")]


def _measure(label: str, **more: Any) -> models.FloatField:
    checks = [MinValueValidator(0), MaxValueValidator(1e9)]
    return models.FloatField(label, null=True, blank=True, validators=checks, **more)


class Run(Record):
    """A chassis with its filaments on: from one moment to another, or some hours on a day."""

    FULL, STANDBY = "full", "standby"
    FILAMENTS = [(FULL, "full filament"), (STANDBY, "standby, filament reduced")]

    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="runs")
    on = models.DateField("date on")
    on_at = models.TimeField("time on", null=True, blank=True)
    off = models.DateField("date off", null=True, blank=True)
    off_at = models.TimeField("time off", null=True, blank=True)
    hours = _measure("or hours", help_text="When the times are not known.")
    starts = models.PositiveSmallIntegerField(
        "starts",
        default=1,
        validators=[MaxValueValidator(10_000)],
        help_text="How often the filaments were switched on.",
    )
    filament = models.CharField(max_length=8, choices=FILAMENTS, default=FULL)
    history = History()

    class Meta:
        ordering = ["chassis", "on", "on_at", "id"]
        indexes = [models.Index(fields=["chassis", "on"])]

    def __str__(self) -> str:
        return f"{self.chassis_id} ran, {self.on}"

    @property
    def ran_h(self) -> float | None:
        """Hours it ran, as written or from its times, to a hundredth; None where neither says."""
        hours = hours_of(RunFact(self.chassis_id, self.on, self.on_at, self.off, self.off_at, self.hours))
        return None if hours is None else round(hours, 2)


class Meter(models.Model):
    """An elapsed-time meter in a chassis, with its wheels. A changed meter is another one."""

    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="meters")
    serial = models.CharField(max_length=40, blank=True)
    since = models.DateField("in this chassis from")
    until = models.DateField("to", null=True, blank=True)
    digits = models.PositiveSmallIntegerField(
        "wheels for whole hours", default=5, validators=[MinValueValidator(1), MaxValueValidator(9)]
    )
    decimals = models.PositiveSmallIntegerField("wheels after the point", default=1, validators=[MaxValueValidator(3)])
    note = models.TextField(blank=True)
    history = History()

    class Meta:
        ordering = ["chassis", "since", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["chassis"], condition=Q(until__isnull=True), name="chassis_holds_one_meter",
                violation_error_message="This chassis has a meter already; say first when that one was taken out.",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"meter {self.serial or 'without number'} of {self.chassis_id}"


class MeterReading(Event):
    """What a meter showed; ``wheels`` is the text as read, leading zeros included."""

    meter = models.ForeignKey(Meter, on_delete=models.PROTECT, related_name="readings")
    wheels = models.CharField("reading", max_length=16, help_text="As the wheels stand, with the point.")
    starts = models.PositiveIntegerField("start counter", null=True, blank=True)
    history = History()

    class Meta:
        ordering = ["meter", "on", "at", "id"]

    def __str__(self) -> str:
        return f"{self.wheels} on {self.on}"


class EarlierHours(models.Model):
    """What a tube had run before it came: known, estimated, or not known; no row means not known."""

    tube = models.OneToOneField(Tube, on_delete=models.CASCADE, primary_key=True, related_name="earlier_hours")
    standing = models.CharField(max_length=10, choices=STANDINGS, default=words.UNKNOWN)
    hours = _measure("filament hours")
    starts = models.PositiveIntegerField(null=True, blank=True)
    reason = models.CharField("how that is known", max_length=200, blank=True)
    history = History()

    def __str__(self) -> str:
        return f"{self.tube_id}: {self.standing}"


class HoursCorrection(Record):
    """Hours and starts to add to a tube's account (or to take off), with the reason."""

    tube = models.ForeignKey(Tube, on_delete=models.PROTECT, related_name="hours_corrections")
    on = models.DateField("date")
    hours = models.FloatField("hours, more or less", default=0)
    starts = models.IntegerField("starts, more or less", default=0)
    reason = models.CharField(max_length=200)
    history = History()

    class Meta:
        ordering = ["tube", "on", "id"]

    def __str__(self) -> str:
        return f"{self.tube_id}: {self.hours:+g} h"


class Instrument(models.Model):
    """A tube tester or a bridge: readings belong to one of these and to its scale."""

    SCALES = [
        ("micromho", "transconductance, micromho"),
        ("ma_v", "transconductance, mA/V"),
        ("percent", "percent quality"),
        ("plate_ma", "plate current, mA"),
        ("emission_ma", "emission current, mA"),
        ("scale", "scale units"),
    ]
    #: The unit of its readings; "": a scale of its own, so that any unit would be wrong.
    UNITS = {"micromho": "micromho", "ma_v": "mA/V", "percent": "%", "plate_ma": "mA", "emission_ma": "mA", "scale": ""}

    name = models.CharField(max_length=80, unique=True, help_text="What you call it.")
    makers_kind = models.CharField("maker's kind", max_length=80, blank=True)
    serial = models.CharField(max_length=40, blank=True)
    scale = models.CharField(max_length=12, choices=SCALES)
    calibrated_on = models.DateField("last calibrated", null=True, blank=True)
    calibrate_months = models.PositiveSmallIntegerField("calibrate every, months", null=True, blank=True)
    note = models.TextField(blank=True)
    history = History()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("running:instrument", args=[self.pk])

    @property
    def unit(self) -> str:
        """The unit of its readings, as written behind a figure."""
        return self.UNITS[self.scale] or "on its scale"


class TypeMinimum(models.Model):
    """The reject limit of a type on one instrument, and where that figure is from (a roll chart, a manual)."""

    instrument = models.ForeignKey(Instrument, on_delete=models.CASCADE, related_name="minimums")
    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, related_name="minimums")
    section = models.CharField(max_length=12, blank=True, help_text="Empty: every section.")
    minimum = models.FloatField(validators=[MinValueValidator(0), MaxValueValidator(1e9)])
    settings = models.CharField("settings of the instrument", max_length=120, blank=True)
    source = models.CharField("where it is from", max_length=200)
    history = History()

    class Meta:
        ordering = ["instrument", "type", "section"]
        constraints = [
            models.UniqueConstraint(fields=["instrument", "type", "section"], name="one_minimum_per_type_and_section")
        ]

    def __str__(self) -> str:
        return f"{self.type_id} on {self.instrument_id}: {self.minimum:g}"


class TubeTest(Event):
    """One tube, one section, on one instrument. Digits are stored as given; the figure beside them is what they say."""

    NOT_DONE, NONE_FOUND, FOUND = "", "none", "found"
    FINDINGS = [(NOT_DONE, "not looked at"), (NONE_FOUND, "none"), (FOUND, "found")]

    tube = models.ForeignKey(Tube, on_delete=models.PROTECT, related_name="tests")
    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="tests")
    section = models.CharField(max_length=12, blank=True, help_text="For a double tube: 1, 2, triode, pentode.")
    settings = models.CharField("settings of the instrument", max_length=120, blank=True)
    filament_v = _measure("filament voltage set, V")
    line_set = models.BooleanField("line set before the test", null=True, blank=True)
    shorts = models.CharField("shorts or leakage", max_length=6, choices=FINDINGS, blank=True, default=NOT_DONE)
    shorts_words = models.CharField("which", max_length=120, blank=True)
    reading_text = models.CharField(
        "reading", max_length=40, blank=True, help_text="Digit for digit, as the pointer stood."
    )
    reading = _measure("reading as a figure", editable=False)
    minimum_text = models.CharField("minimum", max_length=40, blank=True, help_text="The reject limit given for it.")
    minimum = _measure("minimum as a figure", editable=False)
    reduced_v = _measure("filament reduced to, V")
    reduced_text = models.CharField("reading with reduced filament", max_length=40, blank=True)
    reduced = _measure("that reading as a figure", editable=False)
    gas = models.CharField(max_length=40, blank=True, help_text="As read: divisions, microamperes, none.")
    noise = models.CharField(max_length=6, choices=FINDINGS, blank=True, default=NOT_DONE)
    history = History()

    class Meta:
        ordering = ["tube", "on", "at", "id"]
        indexes = [models.Index(fields=["instrument", "on"])]

    def __str__(self) -> str:
        return f"{self.tube_id} on {self.instrument_id}, {self.on}: {self.reading_text or 'no reading'}"

    @property
    def unit_beside(self) -> str:
        """The unit to be written beside the reading as typed; empty where the keeper wrote it already (88%, 9 mA/V)."""
        unit = self.instrument.unit
        return "" if self.reading_text.casefold().rstrip(" .").endswith(unit.casefold()) else unit

    @property
    def set_to(self) -> Settings:
        return self.settings, self.filament_v


class MatchedSet(models.Model):
    """Tubes chosen to stay together; ``split_on``: no longer."""

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="matched_sets")
    made_on = models.DateField("date")
    mismatch_pct = models.FloatField("mismatch, %")
    tolerance_pct = models.FloatField("tolerance, %")
    compared = models.CharField("what was compared", max_length=120, blank=True)
    by_whom = models.CharField("by whom", max_length=80, blank=True)
    note = models.CharField(max_length=200, blank=True)
    split_on = models.DateField("split on", null=True, blank=True)
    split_why = models.CharField("why", max_length=200, blank=True)
    history = History()

    class Meta:
        ordering = ["-made_on", "-id"]

    def __str__(self) -> str:
        return f"matched set M-{self.pk:04d}"


class MatchedTube(models.Model):
    """A tube of a matched set with the test its place rests on; two where two readings were compared."""

    matched_set = models.ForeignKey(MatchedSet, on_delete=models.CASCADE, related_name="members")
    tube = models.ForeignKey(Tube, on_delete=models.PROTECT, related_name="matched")
    test = models.ForeignKey(TubeTest, on_delete=models.PROTECT, related_name="+")
    second = models.ForeignKey(
        TubeTest, on_delete=models.PROTECT, null=True, blank=True, related_name="+", verbose_name="second reading from"
    )
    history = History()

    class Meta:
        ordering = ["matched_set", "id"]
        constraints = [models.UniqueConstraint(fields=["matched_set", "tube"], name="one_tube_once_per_matched_set")]

    def __str__(self) -> str:
        return f"{self.tube_id} in {self.matched_set_id}"


class Care(models.Model):
    """Something to be done again and again: test, oil, condition, warm up. Of one thing, or of all tubes of a type."""

    TEST, OIL, CONDITION, WARM_UP, OTHER = words.TEST, words.OIL, words.CONDITION, words.WARM_UP, words.OTHER
    WORKS = [
        (TEST, "test the tube"),
        (OIL, "oil the bearings"),
        (CONDITION, "condition a stored transmitting tube"),
        (WARM_UP, "warm up a mercury rectifier"),
        (OTHER, "other"),
    ]

    work = models.CharField(max_length=12, choices=WORKS)
    words = models.CharField("what exactly", max_length=200, blank=True)
    item = models.ForeignKey(Item, on_delete=models.CASCADE, null=True, blank=True, related_name="cares")
    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, null=True, blank=True, related_name="cares")
    every_months = models.PositiveSmallIntegerField("every, months", null=True, blank=True)
    every_hours = _measure("every, hours run")
    since = models.DateField("counted from")
    source = models.CharField("on whose word", max_length=200, blank=True)
    ended_on = models.DateField("no longer since", null=True, blank=True)
    history = History()

    class Meta:
        ordering = ["work", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(item__isnull=False) | Q(type__isnull=False), name="care_of_something",
                violation_error_message="Say of which thing, or of which type of tube.",
            ),
            models.CheckConstraint(
                condition=Q(every_months__isnull=False) | Q(every_hours__isnull=False), name="care_has_a_rhythm",
                violation_error_message="Say after how many months, or after how many hours.",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.get_work_display()}, {self.words}"


class CareDone(Record):
    """It was done, on one thing, on a day."""

    care = models.ForeignKey(Care, on_delete=models.CASCADE, related_name="done")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="care_done")
    on = models.DateField("date")
    history = History()

    class Meta:
        ordering = ["care", "item", "on"]

    def __str__(self) -> str:
        return f"{self.care_id} on {self.item_id}, {self.on}"
