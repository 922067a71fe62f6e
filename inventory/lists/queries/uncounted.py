"""What lists named and nobody has counted: it belongs beside every figure of what is owned, since it is not nothing."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, F, Prefetch, Q, QuerySet

from inventory.lists.models import ImportMade, ImportRow, ImportRun
from tubes.queries import holding

SHORTEST = 3  # letters of a mark that is looked for as a part of another


@dataclass(frozen=True)
class Uncounted:
    """A row of a list whose count was unknown (``made`` 0) or a guess from which ``made`` tubes were written."""

    list: int
    row: int
    file: str
    type: str | None
    mark: str
    words: str
    place: str
    made: int

    @property
    def told(self) -> str:
        return self.in_words()

    def in_words(self, with_place: bool = True) -> str:
        where = f", {self.place}" if self.place and with_place else ""
        by = f"by list {self.list}, row {self.row}"
        if self.made:
            return f"{self.made} of them by a guess ({self.words}{where}) {by}, not counted yet"
        return f"and a number not counted ({self.words}{where}) {by}"

    def as_dict(self) -> dict[str, Any]:
        names = ("list", "row", "file", "type", "mark", "words", "place", "made")
        return {name: getattr(self, name) for name in names}


def rows_to_count() -> QuerySet[ImportRow]:
    """Rows of tubes whose count was unknown or a guess, until somebody counted them."""
    waiting = ImportRow.objects.exclude(uncounted="").filter(run__state=ImportRun.WRITTEN)
    here = ImportMade.objects.filter(item__gone_on__isnull=True).select_related("item").order_by("pk")
    return waiting.select_related("run").prefetch_related(Prefetch("made", here)).order_by("run", "row")


def uncounted_of(names: Iterable[str]) -> list[Uncounted]:
    """Rows to count of these types (one query)."""
    return _told(rows_to_count().filter(uncounted__in=set(names)), True)


def uncounted_marked(text: str) -> list[Uncounted]:
    """Rows to count whose mark settles no type and holds this text (one query)."""
    words = text.replace("\0", "").strip()
    if len(words) < SHORTEST:
        return []
    return _told(rows_to_count().filter(holding("uncounted", words)), False)


def uncounted_by_type() -> dict[str, list[Uncounted]]:
    """All rows to count, by type; those without one under an empty name (one query)."""
    found: dict[str, list[Uncounted]] = defaultdict(list)
    for one in _told(rows_to_count(), None):
        found[one.type or ""].append(one)
    return found


def _told(rows: QuerySet[ImportRow], typed: bool | None) -> list[Uncounted]:
    """``typed``: only rows with a settled type, or only those without one; None: all.

    A guess whose tubes are all gone, or are of another type by now, says nothing any more.
    """
    same = Q(made__item__tube__type__name=F("uncounted")) | Q(made__item__tube__type__isnull=True)
    here = Count("made", filter=same & Q(made__item__gone_on__isnull=True))
    cells = rows.prefetch_related(None).annotate(here=here)
    found = []
    for run, row, file, name, question, made in cells.values_list(
        "run_id", "row", "run__file_name", "uncounted", "question", "here"
    ):
        kind = question.get("type") or None
        if (typed is None or typed == bool(kind)) and (made or not question.get("made")):
            words, place = (question.get(key) for key in ("to_count", "place"))
            mark = question.get("mark") or name
            found.append(Uncounted(run, row, file, kind, mark, words or "", place or "", made or 0))
    return found
