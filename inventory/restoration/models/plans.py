"""Plans for sets, what they ask for beside their positions, what is reserved for them, what was done and found."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from inventory.holdings.models import Item, Paper, PartType
from inventory.house.kept_history import History
from inventory.house.records.models import Event
from inventory.restoration.models.weak import COUNTED, WeakPart
from inventory.restoration.rules.findings import check_of_line, check_of_part
from inventory.restoration.rules.printed_limit import HALF_LIMITS, NO_LIMIT, Limit
from inventory.sets.models import Chassis, Position


class Plan(models.Model):
    """A set that is to be restored, or sets in service that are to be kept running for so many hours."""

    RESTORE, KEEP = "restore", "keep running"
    AIMS = [(RESTORE, "restore a set"), (KEEP, "keep sets in service running")]
    PLANNED, AT_WORK, LAID_ASIDE, FINISHED = "planned", "at work", "laid aside", "finished"
    STATES = [(word, word) for word in (PLANNED, AT_WORK, LAID_ASIDE, FINISHED)]
    OPEN = (PLANNED, AT_WORK)

    name = models.CharField(max_length=120, unique=True)
    aim = models.CharField("what for", max_length=12, choices=AIMS, default=RESTORE)
    sets = models.ManyToManyField(Chassis, related_name="plans")
    hours = models.FloatField(
        "for how many hours", default=500, validators=[MinValueValidator(0), MaxValueValidator(1e6)],
        help_text="Filament hours that the spares should last.",
    )  # fmt: skip
    assurance = models.FloatField(
        default=0.95, validators=[MinValueValidator(0.01), MaxValueValidator(0.9999)],
        help_text="How sure the spares should be enough, for example 0.95.",
    )  # fmt: skip
    priority = models.PositiveSmallIntegerField(
        default=3, validators=[MinValueValidator(1), MaxValueValidator(99)], help_text="1 is served first."
    )
    state = models.CharField(max_length=12, choices=STATES, default=PLANNED)
    may_take = models.BooleanField(
        "may take from sets in service", default=False,
        help_text="Tubes in sets that are in no open plan count as stock then.",
    )  # fmt: skip
    began = models.DateField("begun", null=True, blank=True)
    ended = models.DateField("finished on", null=True, blank=True)
    note = models.TextField(blank=True)
    state_found = models.TextField(
        "state found", blank=True, help_text="How the set was found, before anything was done: for the next keeper."
    )
    left_doubtful = models.TextField(
        "what remains doubtful",
        blank=True,
        help_text="What was left, not understood or not dared: for the next keeper.",
    )
    left_open = models.TextField(
        "left open when it was finished", blank=True, editable=False,
        help_text="Its lines then; empty: not written down.",
    )  # fmt: skip
    history = History(m2m_fields=[sets])

    NOTHING = "Nothing."  # was left open

    class Meta:
        ordering = ["priority", "name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("restoration:plan", args=[self.pk])

    @property
    def is_open(self) -> bool:
        return self.state in self.OPEN

    @property
    def is_finished(self) -> bool:
        return self.state == self.FINISHED

    @property
    def left(self) -> tuple[str, ...]:
        """The lines that were open when it was finished, each in words."""
        return () if self.left_open == self.NOTHING else tuple(self.left_open.splitlines())

    @property
    def finished_words(self) -> str:
        """That it is finished, and what was left open then, in a sentence."""
        if not self.left_open:
            return f"Finished on {self.ended}; what was left open then was not written down."
        if not self.left:
            return f"Finished on {self.ended}; nothing was left open."
        return f"Finished on {self.ended}; left open then: {len(self.left)} line{'s' * (len(self.left) != 1)}."


class Requirement(models.Model):
    """A line that the keeper adds to a plan: a part, a tool, a document, a piece of work."""

    PART, TOOL, DOCUMENT, WORK = "part", "tool", "document", "work"
    KINDS = [(PART, "part"), (TOOL, "tool"), (DOCUMENT, "book or drawing"), (WORK, "piece of work")]

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="requirements")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    kind = models.CharField(max_length=8, choices=KINDS, default=PART)
    words = models.CharField("what", max_length=200)
    type = models.ForeignKey(
        PartType, on_delete=models.PROTECT, null=True, blank=True, related_name="wanted_by", verbose_name="kind of part"
    )
    weak = models.ForeignKey(WeakPart, on_delete=models.SET_NULL, null=True, blank=True, related_name="lines")
    quantity = models.PositiveSmallIntegerField("how many", default=1, validators=COUNTED)
    before_power = models.BooleanField("before power is first put on", default=False)
    waiting_for = models.CharField(max_length=200, blank=True, help_text="What or whom it waits for.")
    here_on = models.DateField(
        "at hand since", null=True, blank=True,
        help_text="Of a tool, a book, or a part without a kind: who keeps the plan says that it is here.",
    )  # fmt: skip
    done_on = models.DateField("done on", null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    struck = models.CharField("struck out because", max_length=200, blank=True, editable=False)
    history = History()

    class Meta:
        ordering = ["plan", "id"]

    def __str__(self) -> str:
        return self.words

    @property
    def is_thing(self) -> bool:
        """Whether it asks for something that has to be here, and not for a piece of work."""
        return self.kind != self.WORK

    @property
    def needs_word(self) -> bool:
        """Whether nothing on record can tell that it is here: a tool, a book, a part without a kind of part."""
        return self.is_thing and self.type_id is None and self.weak_id is None


class Reservation(models.Model):
    """A thing, or so many of a lot, reserved for a line of a plan: a position of a set, or a line of the keeper's own.

    ``quantity`` is empty for a single thing. Released, the row goes; its history stays.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="reservations")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="reservations")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    requirement = models.ForeignKey(
        Requirement, on_delete=models.CASCADE, null=True, blank=True, related_name="reservations"
    )
    quantity = models.PositiveIntegerField("how many", null=True, blank=True, validators=COUNTED)
    why = models.CharField("why this one", max_length=300, blank=True)
    on = models.DateField("since")
    history = History()

    class Meta:
        ordering = ["plan", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["item"], condition=Q(quantity__isnull=True), name="single_thing_reserved_once"
            ),
            models.UniqueConstraint(
                fields=["chassis", "position"], condition=Q(position__isnull=False), name="position_reserved_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} for {self.plan}"

    @property
    def words(self) -> str:
        """For what it is reserved."""
        count = f"{self.quantity} of it " if self.quantity else ""
        at = f", {self.chassis} {self.position.mark}" if self.chassis and self.position else ""
        line = f", {self.requirement}" if self.requirement else ""
        return f"{count}reserved for {self.plan}{at}{line}"


class Finding(Event):
    """What was found at one check of the start sheet: a reading with its unit, a word, whether it is as it should be.

    ``step``: the check in words; ``weak``, ``requirement``: the weak part or line that it looks at; ``asked``: what the
    sheet asked when it was typed in. Checked again, the later one counts and the earlier stays. ``reading``: in
    ``unit``, the one that the check asks for. ``least``, ``most``: the limit that the sheet printed, in that unit.
    """

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="findings")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="+")
    step = models.CharField("check", max_length=220, editable=False)
    weak = models.ForeignKey(
        WeakPart, on_delete=models.SET_NULL, null=True, blank=True, related_name="+", editable=False
    )
    requirement = models.ForeignKey(
        Requirement, on_delete=models.SET_NULL, null=True, blank=True, related_name="+", editable=False
    )
    asked = models.CharField("what the sheet asked", max_length=300, blank=True, editable=False)
    reading_text = models.CharField("reading", max_length=40, blank=True, help_text="As read, with its unit.")
    reading = models.FloatField("reading as a figure", null=True, blank=True, editable=False)
    unit = models.CharField(max_length=12, blank=True, editable=False)
    least = models.FloatField("limit from", null=True, blank=True, editable=False)
    most = models.FloatField("limit to", null=True, blank=True, editable=False)
    result = models.CharField("in words", max_length=200, blank=True, help_text="What was seen, or why not measured.")
    all_well = models.BooleanField("as it should be", null=True, blank=True)
    history = History()

    class Meta(Event.Meta):
        abstract = False

    def __str__(self) -> str:
        return f"{self.asked or self.step}: {self.words}"

    @property
    def check_key(self) -> str:
        """The key of the check: of a weak part or line by its number, whatever it is called by now."""
        if self.weak_id:
            return check_of_part(self.weak_id)
        return check_of_line(self.requirement_id) if self.requirement_id else self.step

    @property
    def words(self) -> str:
        """What was found, in one line."""
        judged = {True: "as it should be", False: "not as it should be"}.get(self.judged, "")  # type: ignore[arg-type]
        return ", ".join(text for text in (self.said, judged) if text)

    @property
    def judged(self) -> bool | None:
        """Whether all is well: by who typed it in, else by the limit of the sheet."""
        return True if self.all_well is None and self.within else self.all_well

    @property
    def said(self) -> str:
        """The same where the judgement stands beside it."""
        limit = f"outside the limit ({self.outside})" if self.outside else ""
        limit = f"within the limit of the sheet ({self.within})" if self.within else limit
        return ", ".join(text for text in (self.reading_text, limit, self.result) if text)

    @property
    def outside(self) -> str:
        """The limit that the sheet printed, where the reading lies outside of it; else empty."""
        limit = Limit(self.least, self.most)
        return "" if self.reading is None or limit.keeps(self.reading) else limit.told(self.unit)

    @property
    def within(self) -> str:
        """The limit that the sheet printed, where nobody judged the reading, nothing was said beside it, and it lies
        within; else empty. A limit that is only half of what is right judges nothing.
        """
        limit = Limit(self.least, self.most)
        bare = self.all_well is None and self.reading is not None and not self.result
        if not bare or limit == NO_LIMIT or self.step in HALF_LIMITS or self.outside:
            return ""
        return limit.told(self.unit)


class Work(Event):
    """Something done to a set in a plan: what went out, what came in and from where, readings before and after."""

    REVERSIBLE = [("yes", "can be undone"), ("no", "cannot be undone"), ("", "not said")]

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="works")
    chassis = models.ForeignKey(Chassis, on_delete=models.PROTECT, related_name="+")
    requirement = models.ForeignKey(Requirement, on_delete=models.SET_NULL, null=True, blank=True, related_name="works")
    words = models.CharField("what was done", max_length=200)
    taken_out = models.CharField("what came out", max_length=200, blank=True, help_text="And where it is kept.")
    put_in = models.ForeignKey(
        Item, on_delete=models.PROTECT, null=True, blank=True, related_name="+", verbose_name="thing put in"
    )
    used = models.PositiveIntegerField(
        "how many of the lot", null=True, blank=True, validators=[MaxValueValidator(9_999)]
    )
    came_from = models.CharField("where it came from", max_length=200, blank=True)
    before = models.CharField("reading before", max_length=80, blank=True)
    after = models.CharField("reading after", max_length=80, blank=True)
    reversible = models.CharField(max_length=3, choices=REVERSIBLE, blank=True)
    photographs = models.ManyToManyField(Paper, related_name="works", blank=True)
    history = History(m2m_fields=[photographs])

    class Meta(Event.Meta):
        abstract = False

    def __str__(self) -> str:
        return self.words
