"""Parts that are known to be weak in a set model, and what is said of each."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inventory.holdings.models import PartType
from inventory.house.kept_history import History
from inventory.restoration.rules.weak import MEANS, VERDICTS, WeakStanding, WeakWord, standing_of_words
from inventory.sets.models import SetModel

#: So many of a part can be asked for or used at once, on every database; a slip of the hand asks for more.
COUNTED = [MinValueValidator(1), MaxValueValidator(9_999)]


class WeakPart(models.Model):
    """A part that is known to be weak in every set of a model: what is said of it stands in ``said``, on whose word."""

    set_model = models.ForeignKey(SetModel, on_delete=models.CASCADE, related_name="weak_parts")
    mark = models.CharField("circuit mark", max_length=40, blank=True, help_text="For example C12, C13.")
    words = models.CharField("what it is", max_length=120)
    type = models.ForeignKey(PartType, on_delete=models.PROTECT, null=True, blank=True, related_name="weak_in")
    quantity = models.PositiveSmallIntegerField("how many in a set", default=1, validators=COUNTED)
    why = models.CharField("what goes wrong, what can hurt", max_length=200, blank=True)
    source = models.CharField("on whose word", max_length=200, blank=True)
    history = History()

    class Meta:
        ordering = ["set_model", "mark", "id"]

    def __str__(self) -> str:
        return f"{self.mark} {self.words}".strip()

    @property
    def standing(self) -> WeakStanding:
        """All words on it that are not struck out (fetch ``said`` with many)."""
        return standing_of_words([row.as_word for row in self.said.all() if not row.struck])  # type: ignore[attr-defined]


class WeakSaid(models.Model):
    """Somebody's word on a weak part, with its evidence. Words that differ all stand."""

    weak = models.ForeignKey(WeakPart, on_delete=models.CASCADE, related_name="said")
    verdict = models.CharField("word", max_length=12, choices=[(one, MEANS[one]) for one in VERDICTS])
    source = models.CharField("who says so, where it stands", max_length=200)
    page = models.CharField("page or leaf", max_length=40, blank=True)
    on = models.DateField("date of that word", null=True, blank=True)
    words = models.CharField(
        "what it says", max_length=300, blank=True, help_text="Readings, how many of how many, what bit."
    )
    struck = models.CharField("struck out because", max_length=200, blank=True, editable=False)
    history = History()

    class Meta:
        ordering = ["weak", "on", "id"]

    def __str__(self) -> str:
        return f"{self.verdict}: {self.source}"

    @property
    def as_word(self) -> WeakWord:
        return WeakWord(self.verdict, self.source, self.page, self.on, self.words)
