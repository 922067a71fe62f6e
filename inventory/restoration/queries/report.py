"""What the next keeper has to know of a set that was in a plan: how it was, what was done, found, doubted, left."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.holdings.models import Paper
from inventory.restoration.models import Plan, Requirement, Work
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.progress import Progress, Swap, progress_of, swaps_after
from inventory.restoration.queries.start_sheet import SheetRow, StartSheet, start_sheet
from inventory.sets.models import Chassis

FOUND, MEANWHILE, THAT_DAY, SINCE, UNDATED = (
    "As it was found", "During the work", "On the one day of the work", "Since it was finished", "Without a date",
)  # fmt: skip
STAGES = {Paper.BEFORE: FOUND, Paper.DURING: MEANWHILE, Paper.AFTER: SINCE}


@dataclass(frozen=True)
class SetReport:
    """A set of a report. ``lines``: of the plan, that are done.

    ``photographs``: by when they were taken; ``papers``: other papers of it, named only.
    ``left``: what was open when it was finished; ``since``: changes of tubes after that day;
    ``unchecked``: checks of the start sheet of which nothing was written down; ``origins``: texts behind the figures.
    """

    chassis: Chassis
    sheet: StartSheet
    works: tuple[Work, ...]
    lines: tuple[Requirement, ...]
    swaps: tuple[Swap, ...]
    photographs: dict[str, tuple[Paper, ...]]
    papers: tuple[Paper, ...]
    origins: tuple[str, ...]
    left: tuple[str, ...] = ()
    since: tuple[Swap, ...] = ()

    @property
    def found(self) -> dict[str, tuple[SheetRow, ...]]:
        """Checks at which something was found, by the parts of the sheet."""
        parts = {**self.sheet.parts, "Asked no more": self.sheet.no_more}
        told = {title: tuple(row for row in rows if row.standing) for title, rows in parts.items()}
        return {title: rows for title, rows in told.items() if rows}

    @property
    def unchecked(self) -> tuple[SheetRow, ...]:
        return tuple(row for row in self.sheet.rows if row.standing is None)

    @property
    def reversible(self) -> str:
        """How much of what was done can be undone, in a sentence."""
        count = Counter(work.reversible for work in self.works)
        told = [
            f"{count[key]} {word}" for key, word in (("yes", "can be undone"), ("no", "cannot be undone")) if count[key]
        ]
        return ", ".join((*told, *([f"whether it can be undone is not said of {count['']}"] if count[""] else [])))

    @property
    def pictured(self) -> int:
        """How many photographs there are."""
        return sum(len(rows) for rows in self.photographs.values())


@dataclass(frozen=True)
class Report:
    """The report of a plan, as far as it is."""

    plan: Plan
    progress: Progress
    sets: tuple[SetReport, ...]


def report_of(plan: Plan, on: date) -> Report:
    """The report of a plan on a day (a fixed number of queries for each set)."""
    progress = progress_of(plan)
    cover = cover_of(plan, on)
    sets = []
    after = swaps_after(progress.sets, plan.ended) if plan.is_finished and plan.ended else ()
    for one in progress.sets:
        sheet = start_sheet(plan, one, on, cover)
        works = progress.works_of(one)
        papers = list(one.item.papers.order_by("dated", "pk"))
        shown = [paper for paper in papers if paper.kind == Paper.PHOTOGRAPH]
        sets.append(
            SetReport(
                one, sheet, works, progress.done_of(one), progress.swaps_of(one),
                _by_time(shown, plan, progress.since, works),
                tuple(paper for paper in papers if paper.kind != Paper.PHOTOGRAPH), _origins(sheet),
                _left_at(plan, one, len(progress.sets)),
                tuple(swap for swap in after if swap.fitting.chassis_id == one.pk),
            )
        )  # fmt: skip
    return Report(plan, progress, tuple(sets))


def _left_at(plan: Plan, chassis: Chassis, sets: int) -> tuple[str, ...]:
    """What of a set was open when its plan was finished: of several sets each line names its own."""
    named = f"{chassis.tag}: "
    return plan.left if sets == 1 else tuple(text[len(named) :] for text in plan.left if text.startswith(named))


def _by_time(
    papers: Iterable[Paper], plan: Plan, since: date | None, works: Iterable[Work]
) -> dict[str, tuple[Paper, ...]]:
    """Photographs by when they were taken, by their day within that."""
    of_work = {paper.pk for work in works for paper in work.photographs.all()}
    told: dict[str, list[Paper]] = {title: [] for title in (FOUND, MEANWHILE, THAT_DAY, SINCE, UNDATED)}
    for paper in papers:
        told[_when(paper, plan, since, paper.pk in of_work)].append(paper)
    return {title: tuple(rows) for title, rows in told.items() if rows}


def _when(paper: Paper, plan: Plan, since: date | None, of_work: bool) -> str:
    """By its day where that lies before or behind the plan, which may be one of several; else by what is said of it, or
    the work that it shows. Of the day on which the work began: as it was found, unless it ended on that day, too.
    """
    dated = paper.dated
    if dated and since and dated < since:
        return FOUND
    if dated and plan.ended and dated > plan.ended:
        return SINCE
    if paper.stage or of_work:
        return STAGES.get(paper.stage, MEANWHILE)
    if dated is None:
        return UNDATED
    if since is None or dated == since:
        return THAT_DAY if since and since == plan.ended else FOUND
    return MEANWHILE


def _origins(sheet: StartSheet) -> tuple[str, ...]:
    """The texts behind the figures of the positions and behind what is known to fail."""
    positions = [socket.row.position.values_from for socket in sheet.sockets]
    weak: Sequence[str] = [part.source for part in sheet.facts.weak]
    return tuple(dict.fromkeys(text for text in (*positions, *weak) if text))
