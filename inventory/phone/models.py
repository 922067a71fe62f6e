"""What was taken of entries that were made without a signal."""

from django.conf import settings
from django.db import models


class SentEntry(models.Model):
    """An entry that waited in a phone and was taken, under the key that the phone gave it as it was written.

    The row claims the key in the same transaction that does the change: the key again answers what it answered, and
    never makes a second thing. What was refused leaves no row. The change itself has its own history.
    """

    account = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    key = models.CharField(max_length=36)
    kind = models.CharField(max_length=12)
    digest = models.CharField("digest of what it said", max_length=64)
    told = models.TextField("what was answered", blank=True)
    address = models.CharField(max_length=300, blank=True)
    written_at = models.DateTimeField("written, by the clock of the phone")
    taken_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name_plural = "sent entries"
        ordering = ["-taken_at", "-id"]
        constraints = [models.UniqueConstraint(fields=["account", "key"], name="one_entry_of_a_key")]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"
