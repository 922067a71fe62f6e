"""Questions about lists that came in: their rows, what waits for an answer, what wants counting."""

from collections.abc import Collection, Iterator, Sequence

from django.db.models import Count, Min, Q, QuerySet

from inventory.lists.models import ImportRow, ImportRun
from inventory.lists.rules.columns import column_keys
from inventory.lists.rules.headings import Proposal
from inventory.lists.rules.own_lists import proposals
from inventory.lists.rules.records import line_of, with_currencies
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED, REMARKED, WRITTEN

#: What the rows of a list can be narrowed to: name in the address, words, condition.
SHOWN: dict[str, tuple[str, Q]] = {
    "all": ("all rows", Q()),
    "written": ("written", Q(outcome=WRITTEN)),
    "remarked": ("written with a remark", Q(outcome=REMARKED)),
    "held": ("held", Q(outcome=HELD)),
    "refused": ("refused", Q(outcome=REFUSED)),
    "not-items": ("not an item", Q(outcome=NOT_AN_ITEM)),
}
SAMPLE_ROWS = 200
SHOWN_CELLS = 3  # of each column, to see what it is


def runs() -> QuerySet[ImportRun]:
    """Every list that came in, the latest first."""
    return (
        ImportRun.objects.select_related("by")
        .annotate(waiting=Count("rows", filter=Q(rows__outcome=HELD, rows__answered_at__isnull=True)))
        .order_by("-pk")
    )


def rows_of(run: ImportRun, shown: str) -> QuerySet[ImportRow]:
    """Rows of a list with what was made of them."""
    return run.rows.filter(SHOWN[shown][1]).prefetch_related("made__item").order_by("row")


def outcome_counts(run: ImportRun) -> dict[str, int]:
    """How many rows there are of each outcome, by the names of ``SHOWN`` (one query)."""
    counted = {
        name.replace("-", "_"): Count("pk", filter=condition) for name, (_, condition) in SHOWN.items() if condition
    }
    found: dict[str, int] = run.rows.aggregate(**counted, all=Count("pk"))
    return {name: found[name.replace("-", "_")] for name in SHOWN}


def _kept_but(run: int | None) -> QuerySet[ImportRow]:
    """Rows that stand for a thing, of lists that were not undone, but for those of one that is just coming in."""
    return ImportRow.objects.filter(run__state=ImportRun.WRITTEN).exclude(digest="").exclude(run=run)


def rows_alike(digests: Collection[str], but: int | None) -> dict[str, tuple[int, int, int]]:
    """(how many, list, row of the first) of kept rows with these digests, in lists that were not undone (two queries).

    ``but``: the list that is just coming in.
    """
    kept = _kept_but(but).filter(digest__in=digests).order_by()
    found = {
        digest: (count, first) for digest, count, first in kept.values_list("digest").annotate(Count("pk"), Min("pk"))
    }
    firsts = {first for _, first in found.values()}
    where = {pk: (run, row) for pk, run, row in ImportRow.objects.filter(pk__in=firsts).values_list("pk", "run", "row")}
    return {digest: (count, *where[first]) for digest, (count, first) in found.items()}


def rows_of_core(cores: Collection[str], but: int | None) -> list[tuple[str, str, int, int]]:
    """(core, digest, list, row) of kept rows that are alike to some but for their readings, in their order (one query).

    ``but`` as in ``rows_alike``.
    """
    kept = _kept_but(but).filter(core__in=cores)
    return list(kept.order_by("run", "row").values_list("core", "digest", "run_id", "row"))


def lists_like(runs: Collection[int], name: str, heading: Sequence[str]) -> set[int]:
    """Those of some lists that are of that file name, or have those headings (one query)."""
    told = ImportRun.objects.filter(pk__in=runs).values_list("pk", "file_name", "heading")
    return {pk for pk, file, heads in told if file.casefold() == name.casefold() or list(heads) == list(heading)}


def lists_before(but: int | None, name: str, heading: Sequence[str]) -> list[ImportRun]:
    """Lists in the register that are of that file name, or have those headings, the latest first (one query)."""
    kept = ImportRun.objects.filter(state=ImportRun.WRITTEN).order_by("-pk")
    kept = kept.only("file_name", "heading", "options", "columns")
    like = (run for run in kept if run.file_name.casefold() == name.casefold() or run.heading == list(heading))
    return [run for run in like if run.pk != but and not run.came_back]


def rows_standing(runs: Collection[ImportRun]) -> Iterator[tuple[int, int, str, list[str]]]:
    """(list, row, digest, cells) of the rows of some lists that stand for a thing, in their order (one query)."""
    rows = ImportRow.objects.filter(run__in=runs).exclude(digest="").order_by("run", "row")
    return iter(rows.values_list("run_id", "row", "digest", "cells").iterator(chunk_size=2000))


#: What a row is asked about: an equal row of a list before or of this one, one that is alike but for its reading, or
#: but for a cell or two, a tag of the register.
ALREADY, CORRECTED, CHANGED, TAGGED, REPEAT = "already", "corrected", "changed", "tag", "repeat"
ASKED = (ALREADY, CORRECTED, CHANGED, REPEAT, TAGGED)


def waiting_alike(run: ImportRun, *abouts: str) -> QuerySet[ImportRow]:
    """Rows of a list that wait to hear whether they are here already, of some of these questions."""
    return run.rows.filter(outcome=HELD, question__about__in=abouts, answered_at__isnull=True).order_by("row")


def count_alike(run: ImportRun) -> dict[str, int]:
    """How many rows wait so, by what they are asked about (one query)."""
    counts = {about: Count("pk", filter=Q(question__about=about)) for about in ASKED}
    found: dict[str, int] = waiting_alike(run, *ASKED).order_by().aggregate(**counts)
    return found


def proposals_for(run: ImportRun) -> tuple[tuple[Proposal, ...], list[list[str]]]:
    """(what each column is taken for, some of its cells), from the first rows of a kept list."""
    kept = run.rows.order_by("row").values_list("cells", flat=True)[int(run.counts.get("above", 0)) :][:SAMPLE_ROWS]
    rows = [with_currencies(line_of(0, cells)) for cells in kept]
    columns = column_keys(run.heading, len(run.columns))
    samples = [
        list(dict.fromkeys(row[at].strip() for row in rows if at < len(row) and row[at].strip()))[:SHOWN_CELLS]
        for at in range(len(columns))
    ]
    return proposals(run.heading, rows), samples
