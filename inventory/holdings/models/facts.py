"""What is said of a thing beside its own columns: as found, and what it was read as."""

from django.conf import settings
from django.db import models

from inventory.holdings.models.register import Item
from inventory.holdings.rules import dates, facts, prices
from inventory.holdings.rules.fact_words import in_a_word, read_as
from inventory.house.kept_history import History


class FactManager(models.Manager["Fact"]):
    """Facts with the person who entered them at hand: the page of a thing names that person in every line."""

    def get_queryset(self) -> models.QuerySet["Fact"]:
        return super().get_queryset().select_related("by")


class Fact(models.Model):
    """A price, an insured value, a reading, a date or a serial, as found. Never converted, never on another scale.

    ``value`` and the days are what the text was read as, empty where it was not; see ``rules.facts.FoundFact``. A wrong
    one is struck out with the reason. An insured value that is entered says its day (``first``) and its ``basis``.
    """

    PERS = [(prices.EACH, "each"), (prices.LOT, "for a lot"), (prices.ROW, "for a whole row")]
    PRECISIONS = [
        (word, word)
        for word in (
            dates.DAY, dates.MONTH_ONLY, dates.SEASON_ONLY, dates.YEAR, dates.DECADE, dates.BEFORE_IT, dates.AFTER_IT,
        )
    ]  # fmt: skip

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="facts")
    about = models.CharField(max_length=10, choices=facts.ABOUT)
    text = models.TextField("as found")
    figure = models.CharField("figure, digit for digit", max_length=20, blank=True)
    value = models.DecimalField("as a number", max_digits=16, decimal_places=6, null=True, blank=True)
    unit = models.CharField("unit or scale", max_length=40, blank=True)
    instrument = models.TextField(blank=True)
    currency = models.CharField("currency, ISO 4217", max_length=3, blank=True)
    per = models.CharField("said of", max_length=4, choices=PERS, blank=True)
    of_count = models.PositiveIntegerField("how many things", null=True, blank=True)
    first = models.DateField("not before", null=True, blank=True)
    last = models.DateField("not after", null=True, blank=True)
    precision = models.CharField(max_length=8, choices=PRECISIONS, blank=True)
    estimated = models.BooleanField(default=False)
    basis = models.CharField("what a value rests on", max_length=120, blank=True)
    from_list = models.BooleanField("came with a list", default=False)
    column = models.CharField("column of the list", max_length=160, blank=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    struck = models.CharField("struck out because", max_length=200, blank=True, editable=False)
    history = History()
    objects = FactManager()

    class Meta:
        ordering = ["item_id", "id"]
        indexes = [models.Index(fields=["about", "item"])]

    def __str__(self) -> str:
        return f"{self.get_about_display()}: {self.words}"

    @property
    def read_as(self) -> str:
        """What it was read as, in words; empty where it was not read."""
        return read_as(self)

    @property
    def of_money(self) -> bool:
        """Whether it says what was paid, asked or insured, which not everybody sees."""
        return self.about in facts.MONEY

    @property
    def words(self) -> str:
        """The fact on one line."""
        return in_a_word(self)
