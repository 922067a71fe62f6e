"""What every dated record has in common. Tables are those of the areas; nothing of this is one."""

from django.db import models


class Record(models.Model):
    """Something entered by hand. A wrong one is struck out with the reason: it stays readable and counts no more."""

    by_whom = models.CharField("by whom", max_length=80, blank=True)
    note = models.TextField(blank=True)
    entered_at = models.DateTimeField(auto_now_add=True)
    struck = models.CharField("struck out because", max_length=200, blank=True, editable=False)

    class Meta:
        abstract = True


class Event(Record):
    """A record of one moment. Without a time, each area says whether it counts at the start or the end of the day."""

    on = models.DateField("date")
    at = models.TimeField("time", null=True, blank=True, help_text="If known; it settles what came first on one day.")

    class Meta:
        abstract = True
        ordering = ["on", "at", "id"]
