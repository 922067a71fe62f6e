"""Lists that came in: the run, every row with its cells as they were, and what was made of it."""

from django.conf import settings
from django.db import models

from inventory.holdings.models import Item
from inventory.lists.rules.columns import column_keys, plain_cells, said_by
from inventory.lists.rules.row_wants import WANT

#: The options of a run that say that it came back edited, and which list it is; that it is of things changed alike.
CAME_BACK, TOGETHER = "came_back", "together"


class ImportMapping(models.Model):
    """A named reading of a kind of list: which column is what, and how its dates and prices are meant."""

    name = models.CharField(max_length=80, unique=True)
    columns = models.JSONField(help_text="Heading to meaning.")
    options = models.JSONField(default=dict, blank=True)
    saved_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class ImportRun(models.Model):
    """One list taken in. ``digest`` is of the file's bytes: the same file twice makes nothing new.

    ``reason`` is what the history of everything made by it says of why: see ``reason_of`` in ``actions/write.py``.
    """

    TRIAL, WRITTEN, UNDONE = "trial", "written", "undone"
    STATES = [(TRIAL, "trial run"), (WRITTEN, "written"), (UNDONE, "undone")]

    file_name = models.CharField(max_length=200)
    digest = models.CharField(max_length=64, db_index=True)
    state = models.CharField(max_length=8, choices=STATES)
    heading = models.JSONField(default=list)
    columns = models.JSONField(default=dict)
    options = models.JSONField(default=dict)
    counts = models.JSONField(default=dict)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True)
    at = models.DateTimeField(auto_now_add=True)
    undone_at = models.DateTimeField(null=True, blank=True)
    reason = models.CharField(max_length=100, blank=True, default="", editable=False)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.file_name}, {self.at:%Y-%m-%d}"

    @property
    def came_back(self) -> str:
        """The list that it is, where it went out here and came back edited; empty for any other list."""
        return str(self.options.get(CAME_BACK, ""))

    @property
    def together(self) -> bool:
        """Whether no file stands behind it: many things were changed alike on a page."""
        return bool(self.options.get(TOGETHER))


class ImportRow(models.Model):
    """One row with its original cells, its outcome and its remarks. A held row waits for the keeper's answer.

    ``digest`` is of what the cells say (``rules.same_rows``), for rows that stand for a thing of the keeper's: by it a
    list that grew is known again. Rows that are no item, were refused, or are here already by another row have none.
    ``core`` is the digest without the readings: by it a row is known of which the reading alone was corrected.
    ``understood`` is what was read of it (``rules.understood``), on trial as well as written.
    ``answers`` are those that a keeper gave on trial, by what was asked: the list is written with them.
    ``uncounted`` names the type, or else the mark, of tubes that wait to be counted; empty for every other row.
    """

    run = models.ForeignKey(ImportRun, on_delete=models.CASCADE, related_name="rows")
    row = models.PositiveIntegerField()
    line = models.PositiveIntegerField()
    cells = models.JSONField()
    outcome = models.CharField(max_length=24, db_index=True)
    remarks = models.JSONField(default=list)
    question = models.JSONField(default=dict, blank=True)
    understood = models.JSONField(default=dict, blank=True, editable=False)
    answers = models.JSONField(default=dict, blank=True, editable=False)
    digest = models.CharField(max_length=32, blank=True, default="", db_index=True, editable=False)
    core = models.CharField(max_length=32, blank=True, default="", db_index=True, editable=False)
    uncounted = models.CharField(max_length=80, blank=True, default="", db_index=True, editable=False)
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["run", "row"]
        constraints = [models.UniqueConstraint(fields=["run", "row"], name="one_line_per_row_of_a_run")]

    def __str__(self) -> str:
        return f"row {self.row}: {self.outcome}"

    @property
    def plain_cells(self) -> list[str]:
        """The original cells, also where something was wrong with the form of their line."""
        return plain_cells(self.cells)

    @property
    def named_cells(self) -> list[tuple[str, str]]:
        """The original cells with their headings, without the empty ones."""
        cells = self.plain_cells
        keys = column_keys(self.run.heading, len(cells))
        return [(key, cell) for key, cell in zip(keys, cells, strict=False) if cell.strip()]

    @property
    def thing_wanted(self) -> str:
        """What a row that is a want names, as written; empty for any other row."""
        return self.mark_as_written if any(one.get("code") == WANT for one in self.remarks) else ""

    @property
    def mark_as_written(self) -> str:
        """What the row says it is: its mark, else its type or model."""
        return said_by(self.run.heading, self.run.columns, self.plain_cells)[0]


class ImportMade(models.Model):
    """A thing made from a row, with what was read that has no column and no fact of its own (count, number, mate)."""

    row = models.ForeignKey(ImportRow, on_delete=models.CASCADE, related_name="made")
    item = models.OneToOneField(Item, on_delete=models.CASCADE, related_name="import_made")
    facts = models.JSONField(default=dict, blank=True)

    def __str__(self) -> str:
        return f"{self.item_id} from {self.row_id}"

    @property
    def bars_taking_back(self) -> str:
        """Why its thing is not taken back alone, in words."""
        return f"it came with list {self.row.run_id}, which is undone as a whole"
