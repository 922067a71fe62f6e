"""What is owned and where it is: the register of things, places, moves, and the tubes."""

from typing import Any

from django.conf import settings
from django.db import models
from django.urls import reverse

from inventory.holdings.rules.mistakes import never_was
from inventory.holdings.rules.ways import told_openly
from inventory.house.areas import kind_choices, kinds
from inventory.house.concerns import Claim, Doubt
from inventory.house.kept_history import History
from tubes.models import TubeType


class Place(models.Model):
    """A room, cabinet, shelf, drawer or box; ``path`` is its codes from the top down, kept by ``save_place``."""

    code = models.CharField(
        max_length=20, help_text="As written on the shelf or box, unique inside the place above it."
    )
    name = models.CharField(max_length=120, blank=True)
    parent = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="children", verbose_name="inside"
    )
    path = models.CharField(max_length=200, unique=True, editable=False)
    note = models.CharField(max_length=300, blank=True)
    history = History()

    class Meta:
        ordering = ["path"]

    def __str__(self) -> str:
        return self.path

    def get_absolute_url(self) -> str:
        return reverse("holdings:place", args=[self.pk])


class TagSeries(models.Model):
    """The last number given out for a tag prefix. It only grows: a tag once given out is never given again."""

    prefix = models.CharField(max_length=4, unique=True)
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.prefix}-{self.last}"


class Item(models.Model):
    """One thing in the register: its tag, where it is, whether it is lent or gone. A thing that left keeps its row."""

    TUBE, CHASSIS, UNIT, COMPANION, PARTS = "tube", "chassis", "unit", "companion", "parts"
    MONEY_FIELDS = ("gone_how",)

    tag = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=10, choices=kind_choices)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="items")
    seen_on = models.DateField("last seen", null=True, blank=True)
    missed_on = models.DateField(
        "not found on", null=True, blank=True, help_text="Not found at a stock-take of that day, and not seen since."
    )
    lent_to = models.CharField(max_length=120, blank=True)
    lent_on = models.DateField(null=True, blank=True)
    gone_on = models.DateField("left the collection on", null=True, blank=True)
    gone_how = models.CharField("how it left", max_length=200, blank=True)
    history = History()
    claims: tuple[Claim, ...] = ()  # what counts on it, where a page has asked (``queries.doubts``)

    class Meta:
        ordering = ["tag"]
        indexes = [models.Index(fields=["kind", "place"])]

    def __str__(self) -> str:
        return self.tag

    def get_absolute_url(self) -> str:
        """The address of its own page."""
        return reverse(kinds()[self.kind].page, args=[self.tag])

    @property
    def never_was(self) -> bool:
        """Whether its entry was struck out: it was never here, so it did not leave."""
        return never_was(self.gone_how)

    @property
    def gone_way(self) -> str:
        """How it left without what it was sold for, for those who see no money."""
        return told_openly(self.gone_how)

    @property
    def row(self) -> Any:
        """The row of its kind that hangs on it: a tube, a chassis, a lot of parts; None where it was never made."""
        return getattr(self, kinds()[self.kind].row, None)

    @property
    def words(self) -> str:
        """What it is and what it bears."""
        row, told = self.row, kinds()[self.kind].told
        return str(getattr(row, told) if told else row) if row else str(self.get_kind_display())


class ThingRow(models.Model):
    """What hangs on a thing of the register as the row of its kind, and how labels name it."""

    class Meta:
        abstract = True

    @property
    def tag(self) -> str:
        return str(self.item.tag)  # type: ignore[attr-defined]

    def get_absolute_url(self) -> str:
        return str(self.item.get_absolute_url())  # type: ignore[attr-defined]

    @property
    def label_name(self) -> str:
        """What it is, in a word or two: its type, its model, its kind."""
        return str(self)

    @property
    def label_mark(self) -> str:
        """The mark or serial by which one is told from its like."""
        return ""

    @property
    def cautions(self) -> tuple[str, ...]:
        """Words on what can hurt in all of its kind; empty ones do not count."""
        return ()


LEFT = "left the collection"  # where a thing that leaves moves to


class Movement(models.Model):
    """One move: from where, to where, when, by whom, why. An empty place is written as an empty path."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="movements")
    from_path = models.CharField(max_length=200, blank=True)
    to_path = models.CharField(max_length=200, blank=True)
    on = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    entered_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return f"{self.item_id}: {self.from_path or 'nowhere'} to {self.to_path or 'nowhere'}"

    @property
    def open_reason(self) -> str:
        """Why, for those who see no money: of a thing that left, only the way."""
        return told_openly(self.reason) if self.to_path == LEFT else self.reason


class Tube(ThingRow):
    """One physical tube."""

    GOOD, UNTESTED, WEAK, DUD = "good", "untested", "weak", "dud"
    STATES = [(GOOD, "good"), (UNTESTED, "untested"), (WEAK, "weak"), (DUD, "dud")]

    item = models.OneToOneField(Item, on_delete=models.PROTECT, primary_key=True, related_name="tube")
    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, null=True, blank=True, related_name="tubes")
    marked = models.CharField("marked", max_length=80, help_text="As stamped on the tube or carton, digit for digit.")
    maker = models.CharField(max_length=80, blank=True)
    date_code = models.CharField(max_length=30, blank=True, help_text="As stamped.")
    state = models.CharField(max_length=8, choices=STATES, default=UNTESTED)
    condition = models.TextField(
        "condition as seen", blank=True, help_text="Facts: box, seal, getter, base, pins, markings, measured figures."
    )
    acquired_on = models.DateField(null=True, blank=True)
    acquired_how = models.CharField(max_length=120, blank=True, help_text="Bought, swapped, given, pulled from a set.")
    acquired_from = models.CharField(max_length=120, blank=True)
    note = models.TextField(blank=True)
    history = History()
    doubt: Doubt | None = None  # what its last tests say against it, where a page has asked (``queries.doubts``)
    where: str = ""  # where it is, in words, where a page has asked

    class Meta:
        ordering = ["item_id"]
        indexes = [models.Index(fields=["state"]), models.Index(fields=["type", "state"])]

    def __str__(self) -> str:
        return f"{self.item.tag} ({self.marked})"

    @property
    def label_name(self) -> str:
        return str(self.type or self.marked)

    @property
    def label_mark(self) -> str:
        return f"marked {self.marked}" if self.type_id else "type not settled"

    @property
    def cautions(self) -> tuple[str, ...]:
        return (self.type.table_caution, self.type.hazard) if self.type else ()
