"""What is looked for: the keeper's want list."""

from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models

from inventory.house.kept_history import History
from tubes.models import TubeType


class Want(models.Model):
    """A tube type or another thing that is wanted, how many, for what, and what it may cost at most.

    ``top_price`` is what one may cost; it is never converted. A settled want stays readable with its reason.
    """

    thing = models.CharField("what", max_length=120, help_text="A tube by any of its numbers, or a thing in words.")
    type = models.ForeignKey(TubeType, on_delete=models.PROTECT, null=True, blank=True, related_name="wants")
    quantity = models.PositiveIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(9999)]
    )
    top_price = models.DecimalField(
        "top price each", max_digits=12, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    currency = models.CharField(
        "currency, ISO 4217", max_length=3, blank=True,
        validators=[RegexValidator(r"^[A-Z]{3}$", "Three letters such as USD.")],
    )  # fmt: skip
    purpose = models.CharField("for what", max_length=120, blank=True, help_text="A set, a position, a person.")
    note = models.TextField(blank=True, max_length=2000)
    since = models.DateField("wanted since")
    settled = models.CharField("settled because", max_length=200, blank=True, editable=False)
    history = History()

    class Meta:
        ordering = ["thing", "id"]

    def __str__(self) -> str:
        return f"{self.quantity} {self.thing}" if self.quantity != 1 else self.thing

    @property
    def price_text(self) -> str:
        """The top price with its currency, or an empty text."""
        return "" if self.top_price is None else f"{self.currency} {self.top_price:f} each"
