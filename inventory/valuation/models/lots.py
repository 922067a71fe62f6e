"""Sales: what is offered together, in lots, with its reserve, and what became of each."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from inventory.holdings.models import Item
from inventory.house.currencies import currency_refused
from inventory.house.kept_history import History
from inventory.house.money import Money
from inventory.house.records.models import Record
from inventory.house.writing import refuse

_SHARE = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))]
_PRICE = [MinValueValidator(Decimal("0.01")), MaxValueValidator(Decimal(10) ** 10)]


def _money(label: str) -> models.DecimalField:
    return models.DecimalField(label, max_digits=14, decimal_places=2, null=True, blank=True, validators=_PRICE)


class LotSale(Record):
    """A sale that is planned or held: where, when, by which seller. Figures of its lots are those of ``valued_on``."""

    name = models.CharField(max_length=80, unique=True)
    on = models.DateField("planned for", null=True, blank=True)
    venue = models.CharField("where", max_length=80, blank=True)
    seller = models.CharField("seller's tag", max_length=20, blank=True, help_text="As the sale marks its sellers.")
    commission_pct = models.DecimalField(
        "commission, %", max_digits=5, decimal_places=2, null=True, blank=True, validators=_SHARE
    )
    reserve_pct = models.DecimalField(
        "reserve, % of the low end", max_digits=5, decimal_places=2, default=Decimal(80), validators=_SHARE
    )
    currency = models.CharField("currency, ISO 4217", max_length=3)
    basis = models.CharField("basis of value", max_length=12, editable=False)
    valued_on = models.DateField("valuation date", editable=False)
    history = History()

    class Meta:
        ordering = ["-on", "-id"]
        verbose_name = "sale"

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("valuation:sale", args=[self.pk])

    def clean(self) -> None:
        super().clean()
        if refused := currency_refused(self.currency):
            raise refuse("currency", refused)


class SaleLot(Record):
    """What is sold together. ``value``, ``low``, ``high`` and ``forced`` are empty without evidence."""

    OFFERED, SOLD, UNSOLD, WITHDRAWN = "offered", "sold", "unsold", "withdrawn"
    STATES = [(one, one) for one in (OFFERED, SOLD, UNSOLD, WITHDRAWN)]

    sale = models.ForeignKey(LotSale, on_delete=models.PROTECT, related_name="lots")
    number = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    value, low, high = _money("value"), _money("low end"), _money("high end")
    forced = _money("in a forced sale")
    reserve = _money("reserve")
    weight = models.CharField(
        max_length=60, blank=True, help_text="As weighed, with its unit; for two people or a hoist."
    )
    state = models.CharField(max_length=10, choices=STATES, default=OFFERED, editable=False)
    ended_on = models.DateField("sold or ended on", null=True, blank=True, editable=False)
    sold_for = models.DecimalField(
        max_digits=14, decimal_places=2, null=True, blank=True, validators=_PRICE, editable=False
    )
    sold_currency = models.CharField(max_length=3, blank=True, editable=False)
    venue = models.CharField("sold where", max_length=80, blank=True, editable=False)
    history = History()

    class Meta:
        ordering = ["sale", "number"]
        constraints = [models.UniqueConstraint(fields=["sale", "number"], name="one_lot_per_number")]

    def __str__(self) -> str:
        return f"lot {self.number} of {self.sale}"

    def get_absolute_url(self) -> str:
        return f"{self.sale.get_absolute_url()}#lot-{self.number}"

    @property
    def price(self) -> Money | None:
        """What it was sold for."""
        return None if self.sold_for is None else Money(Decimal(self.sold_for), self.sold_currency)


class LotThing(models.Model):
    """A thing in a lot with its value as the lot was made. ``counts``: it is not contained in the value of its set."""

    lot = models.ForeignKey(SaleLot, on_delete=models.CASCADE, related_name="things")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="lots")
    amount = models.DecimalField(max_digits=14, decimal_places=2, null=True, blank=True)
    counts = models.BooleanField(default=True)

    class Meta:
        ordering = ["lot", "id"]
        constraints = [models.UniqueConstraint(fields=["lot", "item"], name="a_thing_is_once_in_a_lot")]

    def __str__(self) -> str:
        return f"{self.item.tag} in {self.lot}"
