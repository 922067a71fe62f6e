"""Lists as people keep them to find them again."""

from django.conf import settings
from django.db import models

LONGEST_VIEW = 2000  # letters of what an address says of a list


class KeptView(models.Model):
    """A list as an address asks for it: what it is narrowed by, its order, columns and groups, under a name.

    Without a name: the columns that its owner sees in that list unless told. ``shared``: everybody sees it; only its
    owner, or a keeper, takes it away. It says nothing of the collection, so it has no history. A shared one outlives
    the account of its owner; the others go with it (``drop_own_views``).
    """

    of_list = models.CharField("list", max_length=40)
    name = models.CharField(max_length=60, blank=True)
    query = models.CharField("address", max_length=LONGEST_VIEW)
    owner = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, related_name="+", null=True, blank=True
    )
    shared = models.BooleanField("everybody sees it", default=False)

    class Meta:
        ordering = ["of_list", "name", "id"]
        constraints = [models.UniqueConstraint(fields=["of_list", "owner", "name"], name="one_view_of_a_name")]

    def __str__(self) -> str:
        return f"{self.of_list}: {self.name or 'usual columns'}"

    @property
    def of_whom(self) -> str:
        """Who kept it; empty where nobody is named."""
        return (self.owner.get_full_name() or self.owner.get_username()) if self.owner else ""
