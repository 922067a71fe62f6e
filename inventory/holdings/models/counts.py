"""Stock-takes, and what a printed box list said when it was printed."""

from django.conf import settings
from django.db import models

from inventory.holdings.models.register import Item, Place


class StockTake(models.Model):
    """A count of a place and what is below it, or of a random sample of everything."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="stock_takes")
    sample_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    seed = models.PositiveIntegerField(default=0, help_text="The same seed draws the same sample.")
    began = models.DateField()
    closed = models.DateField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-began", "-id"]

    def __str__(self) -> str:
        return f"stock-take of {self.place or 'a sample'}, {self.began}"


class StockTakeLine(models.Model):
    """One thing of a stock-take: where it was expected, and what was found. A lent thing is listed, not missing."""

    FOUND, ELSEWHERE, MISSING, UNEXPECTED = "found", "elsewhere", "missing", "unexpected"
    OUTCOMES = [
        (FOUND, "found"),
        (ELSEWHERE, "found elsewhere"),
        (MISSING, "not found"),
        (UNEXPECTED, "found, not expected here"),
    ]

    stock_take = models.ForeignKey(StockTake, on_delete=models.CASCADE, related_name="lines")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="stock_take_lines")
    expected_path = models.CharField(max_length=200, blank=True)
    outcome = models.CharField(max_length=12, choices=OUTCOMES, blank=True)
    found_path = models.CharField(max_length=200, blank=True)
    on = models.DateField(null=True, blank=True)
    by = models.ForeignKey(  # who ticked it or scanned it
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    before = ""  # by a scan: what a line that had an outcome was until then, in words

    class Meta:
        verbose_name = "line of a stock-take"
        ordering = ["stock_take", "expected_path", "item__tag"]
        constraints = [models.UniqueConstraint(fields=["stock_take", "item"], name="one_line_per_thing_of_a_count")]

    def __str__(self) -> str:
        return f"{self.item_id}: {self.outcome or 'open'}"

    @property
    def expected_at(self) -> str:
        """Where it belongs by the register, in words: a place or, as moves into sets are filed, ``in`` a set."""
        path = self.expected_path or "no place"
        return path if path.startswith("in ") else f"in {path}"


class BoxPrint(models.Model):
    """The content of a place when its list was last printed; another content means: print it again."""

    place = models.OneToOneField(Place, on_delete=models.CASCADE, related_name="box_print")
    digest = models.CharField(max_length=64)
    printed_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self.place_id} printed {self.printed_at:%Y-%m-%d}"
