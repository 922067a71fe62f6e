"""What whoever comes after must know: to whom a thing is promised, and whom to ask."""

from django.db import models
from django.db.models import Q

from inventory.holdings.models import Item, Place
from inventory.house.areas import kind_choices
from inventory.house.kept_history import History
from inventory.house.records.models import Record


class Promise(Record):
    """A thing that is promised to somebody. One at a time; a promise taken back is struck out with the reason."""

    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="promises", verbose_name="the thing")
    to = models.CharField("to whom", max_length=120, help_text="As the family will know him or her.")
    since = models.DateField("since")
    history = History()

    class Meta:
        ordering = ["item__tag", "id"]
        constraints = [
            models.UniqueConstraint(fields=["item"], condition=Q(struck=""), name="a_thing_is_promised_once")
        ]

    def __str__(self) -> str:
        return f"{self.item.tag} promised to {self.to}"


class Contact(Record):
    """Somebody who can be asked: about one thing, about a place and all below it, about a kind, or about everything."""

    name = models.CharField(max_length=120)
    reach = models.CharField("how to reach", max_length=200, help_text="Telephone, address, club.")
    knows = models.CharField("for what", max_length=200, blank=True, help_text="Sells sets for clubs; knows the sets.")
    kind = models.CharField("only of a kind", max_length=10, choices=kind_choices, blank=True)
    place = models.ForeignKey(
        Place, on_delete=models.PROTECT, null=True, blank=True, related_name="contacts",
        verbose_name="or only of what is in",
    )  # fmt: skip
    item = models.ForeignKey(
        Item,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="contacts",
        verbose_name="or only of one thing",
    )
    history = History()

    class Meta:
        ordering = ["name", "id"]
        verbose_name = "person to ask"
        verbose_name_plural = "persons to ask"
        constraints = [
            models.CheckConstraint(
                condition=(Q(place__isnull=True) & Q(item__isnull=True))
                | (Q(kind="") & Q(item__isnull=True))
                | (Q(kind="") & Q(place__isnull=True)),
                name="asked_about_one_sort",
                violation_error_message="Of a kind, of a place or of one thing: not of two of them.",
            )
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.name

    @property
    def about(self) -> str:
        """Of what, in words."""
        if self.item:
            return f"{self.item.tag}"
        if self.place:
            return f"what is in {self.place}"
        return dict(kind_choices())[self.kind] if self.kind else "everything"
