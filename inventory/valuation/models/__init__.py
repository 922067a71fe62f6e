"""Price evidence: what somebody paid or asked for a tube, a set, a plug-in unit or a book, when, where, in which
condition, and who says so.

Prices kept on things of the register (paid, insured) stay there; those feed in as evidence of the keeper's own when an
estimate is made (``queries.own``), and are not copied.
"""

from decimal import Decimal
from itertools import combinations
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from inventory.house.currencies import currency_refused
from inventory.house.kept_history import History
from inventory.house.money import Money
from inventory.house.records.models import Record
from inventory.house.writing import refuse
from inventory.pairing.models import CompanionKind
from inventory.sets.models import SetModel, UnitModel
from inventory.valuation.models.estate import Contact, Promise
from inventory.valuation.models.lots import LotSale, LotThing, SaleLot
from inventory.valuation.rules import words
from inventory.valuation.rules.bases import BASES
from inventory.valuation.rules.entry import LARGEST, LONGEST, MOST, MOST_PREMIUM, PLACES, Entry, price_each
from tubes.models import TubeType

__all__ = [
    "SUBJECTS", "Appraisal", "AppraisalLine", "Contact", "LotSale", "LotThing", "PriceEvidence", "Promise", "SaleLot",
]  # fmt: skip

#: What a row can be of, one of them at most; all empty where its words settle none.
SUBJECTS = ("type", "set_model", "unit_model", "companion_kind")


def _as_said(known: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(word, word) for word in known]


def _one_at_most() -> Q:
    known = Q()
    for one, other in combinations(SUBJECTS, 2):
        known &= Q(**{f"{one}__isnull": True}) | Q(**{f"{other}__isnull": True})
    return known


class PriceEvidence(Record):
    """One sale or offer. ``amount`` is for all of ``quantity``, before buyer's premium and postage.

    ``designation`` is as written; of ``SUBJECTS`` all are empty where it settles none, and the row stays as found.
    """

    on = models.DateField("date")
    designation = models.CharField(
        "what, as written",
        max_length=LONGEST["designation"],
        help_text="The number of a tube, a model of set or plug-in unit, or such as: calibration book of a model.",
    )
    type = models.ForeignKey(
        TubeType, on_delete=models.PROTECT, null=True, blank=True, related_name="price_evidence",
        verbose_name="tube type",
    )  # fmt: skip
    set_model = models.ForeignKey(
        SetModel, on_delete=models.PROTECT, null=True, blank=True, related_name="price_evidence",
        verbose_name="or set model",
    )  # fmt: skip
    unit_model = models.ForeignKey(
        UnitModel, on_delete=models.PROTECT, null=True, blank=True, related_name="price_evidence",
        verbose_name="or plug-in unit",
    )  # fmt: skip
    companion_kind = models.ForeignKey(
        CompanionKind, on_delete=models.PROTECT, null=True, blank=True, related_name="price_evidence",
        verbose_name="or what belongs with a set",
    )  # fmt: skip
    grade = models.CharField(max_length=20, choices=_as_said(words.GRADES))
    kind = models.CharField("sold or asking", max_length=8, choices=_as_said(words.KINDS), default=words.SOLD)
    venue = models.CharField(max_length=12, choices=_as_said(words.VENUES), blank=True)
    currency = models.CharField("currency, ISO 4217", max_length=3)
    amount = models.DecimalField(
        "amount for all of them", max_digits=14, decimal_places=4,
        validators=[MinValueValidator(PLACES), MaxValueValidator(LARGEST)],
    )  # fmt: skip
    quantity = models.PositiveIntegerField(
        "how many", default=1, validators=[MinValueValidator(1), MaxValueValidator(MOST)]
    )
    premium_pct = models.DecimalField(
        "buyer's premium, %", max_digits=7, decimal_places=4, null=True, blank=True,
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(MOST_PREMIUM)],
        help_text="Of an auction, where it is not in the amount; it belongs to the price.",
    )  # fmt: skip
    postage = models.DecimalField(
        max_digits=14, decimal_places=4, null=True, blank=True, help_text="For all of them; no part of the price.",
        validators=[MinValueValidator(Decimal(0)), MaxValueValidator(LARGEST)],
    )  # fmt: skip
    arms_length = models.CharField(
        "at arm's length", max_length=7, choices=_as_said(words.ARMS_LENGTH), default=words.UNKNOWN,
        help_text="No: between friends or relatives, or forced. Such a price is told and does not count.",
    )  # fmt: skip
    source = models.CharField(
        max_length=LONGEST["source"], blank=True, help_text="Who says so: a text and page, a link."
    )
    history = History()

    class Meta:
        ordering = ["-on", "-id"]
        verbose_name_plural = "price evidence"
        indexes = [models.Index(fields=["type", "on"]), models.Index(fields=["on"])]
        constraints = [
            models.CheckConstraint(
                condition=_one_at_most(), name="evidence_of_one_thing",
                violation_error_message="It is of one of them: a tube type, a set, a unit, or what belongs with a set.",
            ),
            models.CheckConstraint(condition=Q(amount__gt=0) & Q(quantity__gt=0), name="evidence_of_some_money"),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.designation}, {self.grade}, {self.kind} {self.on}"

    @property
    def of(self) -> Any:
        """The row of the type, set model, unit model or kind of companion that it is of; None where none is settled."""
        return next((row for name in SUBJECTS if (row := getattr(self, name)) is not None), None)

    @property
    def money(self) -> Money:
        return Money(Decimal(self.amount), self.currency)

    @property
    def each(self) -> Money:
        """The price of one, with the buyer's premium."""
        return price_each(self.money, self.quantity, self.premium_pct)

    @property
    def entry(self) -> Entry:
        """The row as the rules know it. Raises ValueError where its currency is none."""
        return Entry(
            self.on, self.designation, self.grade, self.kind, self.money, self.venue, self.quantity, self.premium_pct,
            self.postage, self.arms_length, self.source, self.note,
        )  # fmt: skip

    def clean(self) -> None:
        super().clean()
        if refused := currency_refused(self.currency):
            raise refuse("currency", refused)


class Appraisal(Record):
    """What the collection, or a part of it, was worth on a day, as it was worked out then: frozen for good.

    ``inputs`` holds all that went in: parameters, every piece of evidence with its price in this currency and the rates
    that it went by, what was left out and why, and the prices of every type in every grade. ``digest`` is of inputs and
    lines: who changes one of them afterwards is found out.
    """

    on = models.DateField("valuation date")
    currency = models.CharField("currency, ISO 4217", max_length=3)
    basis = models.CharField("basis of value", max_length=12)
    real = models.BooleanField("in prices of the valuation date", default=False)
    place = models.CharField("only what is in", max_length=200, blank=True)
    total = models.DecimalField(max_digits=18, decimal_places=2)
    low = models.DecimalField(max_digits=18, decimal_places=2)
    high = models.DecimalField(max_digits=18, decimal_places=2)
    things = models.PositiveIntegerField("things", default=0)
    without_evidence = models.PositiveIntegerField("without evidence", default=0)
    inputs = models.JSONField(default=dict, editable=False)
    digest = models.CharField(max_length=64, editable=False)
    history = History(excluded_fields=["inputs"])

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        of = f" of {self.place}" if self.place else ""
        number = f" {self.pk}" if self.pk else ""
        return f"Appraisal{number}{of} on {self.on}, {self.basis_words}, {self.total} {self.currency}"

    @property
    def basis_words(self) -> str:
        """Its basis as pages call it."""
        return BASES[self.basis].title if self.basis in BASES else self.basis


class AppraisalLine(models.Model):
    """A thing as an appraisal has it; its words are those of that day. ``amount`` is empty without evidence.

    ``within``: the tag of the set in whose value it is contained; such a line is not added again.
    """

    appraisal = models.ForeignKey(Appraisal, on_delete=models.CASCADE, related_name="lines")
    tag = models.CharField(max_length=20)
    what = models.CharField(max_length=200)
    kind = models.CharField(max_length=10)
    grade = models.CharField(max_length=20, blank=True)
    prices_of = models.CharField("goes by prices of", max_length=100, blank=True)
    place = models.CharField(max_length=200, blank=True)
    within = models.CharField("contained in", max_length=20, blank=True)
    amount = models.DecimalField(max_digits=14, decimal_places=2, null=True, blank=True)
    low = models.DecimalField(max_digits=14, decimal_places=2, null=True, blank=True)
    high = models.DecimalField(max_digits=14, decimal_places=2, null=True, blank=True)
    comparables = models.PositiveIntegerField(default=0)
    insured = models.CharField("insured for", max_length=40, blank=True)

    class Meta:
        ordering = ["appraisal", "id"]
        constraints = [models.UniqueConstraint(fields=["appraisal", "tag"], name="one_line_per_thing")]

    def __str__(self) -> str:
        return f"{self.tag}, {self.what}"
