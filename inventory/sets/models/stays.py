"""From when to when something was somewhere."""

from django.core.exceptions import ValidationError
from django.db import models


class Stay(models.Model):
    """A thing somewhere from one day to another; a time of day where it is known. No end: it is still there."""

    since = models.DateField("from")
    since_at = models.TimeField("from, time", null=True, blank=True)
    until = models.DateField("to", null=True, blank=True)
    until_at = models.TimeField("to, time", null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True

    def clean(self) -> None:
        """Refuse a stay that ends before it began. On one day that shows only where both times are known."""
        super().clean()
        if self.until is None or self.since is None:
            return
        if self.until < self.since:
            raise ValidationError({"until": f"{self.until} is before {self.since}, when it began."})
        if self.until == self.since and self.until_at and self.since_at and self.until_at < self.since_at:
            told = f"{self.until_at:%H:%M} is before {self.since_at:%H:%M}, when it began."
            raise ValidationError({"until_at": told})
