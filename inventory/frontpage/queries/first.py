"""What needs a hand today: the report of the first page."""

from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from inventory.holdings.models import Item, Tube
from inventory.holdings.queries import tubes_here, with_whereabouts
from inventory.house.areas import Section, sections_of, thing_columns
from inventory.lists.queries.uncounted import rows_to_count
from inventory.pairing.queries import (
    Mated,
    MatedRow,
    PairRow,
    chassis_on,
    companions_to_settle,
    mated_to_settle,
    pairs_open,
)
from inventory.pairing.rules.fold import DUE, PRESUMED, RESET_AND_VERIFY
from inventory.running.models import TubeTest
from inventory.sets.models import Fitting, MatedSet, Seating
from inventory.sets.queries import open_fittings
from inventory.sets.queries.doubts import in_doubt_in_sets
from inventory.sets.queries.substitutes import odd_as_judged
from tubes.rules.judge_parts import Judgement


@dataclass(frozen=True)
class DueGroup:
    """Pairs due on one chassis."""

    chassis: Any
    pairs: tuple[PairRow, ...]


@dataclass(frozen=True)
class Here:
    """What there is at all: only of what is there can be said that all is well with it."""

    things: int = 0
    pairs: bool = False  # a chassis and a plug-in unit at least
    fitted: bool = False
    companions: bool = False


@dataclass(frozen=True, kw_only=True)
class BenchReport:
    """What needs a hand on a day: the first of each kind, and beside them how many there are."""

    on: date
    due: tuple[DueGroup, ...]
    due_count: int
    to_reset: tuple[PairRow, ...]
    reset_count: int
    presumed: tuple[PairRow, ...]
    presumed_count: int
    companions: tuple[PairRow, ...]
    mated: tuple[tuple[Mated, MatedRow], ...]
    companion_count: int  # mated pieces among them
    doubtful: tuple[Fitting, ...]
    doubtful_count: int
    odd: tuple[tuple[Fitting, str, Judgement | None], ...]
    odd_count: int
    homeless: tuple[Item, ...]
    homeless_count: int
    missed: tuple[Item, ...]  # not found at a stock-take, and not seen since
    missed_count: int
    to_count: int  # rows of lists whose tubes nobody counted
    unsettled: int  # tubes here that are spares for nothing, since their type is not settled
    never_tested: int  # fitted tubes that are called good and of which no test is recorded
    sections: tuple[Section, ...]  # what areas add of their own
    here: Here

    @property
    def due_shown(self) -> int:
        return sum(len(group.pairs) for group in self.due)

    @property
    def companions_shown(self) -> int:
        return len(self.companions) + len(self.mated)


SHOWN, SHOWN_ON_PAGE = 200, 40  # lines of each kind in a report, and of one for the first page


def bench_report(on: date, most: int | None = SHOWN) -> BenchReport:
    """Pairs due by chassis with reasons, companions to settle, tubes in use that are in doubt, things without a place.

    Of each kind the first ``most`` (None: all): reasons and judgements are worked out for those alone.
    """
    chassis = list(chassis_on(on))
    pairs = pairs_open(on, most, chassis)
    due = tuple(DueGroup(chassis, tuple(rows)) for chassis, rows in groupby(pairs.of(DUE), key=lambda row: row.chassis))
    homeless, missed = without_place(), not_found()
    doubtful, doubtful_count = in_doubt_in_sets(most)
    companions, mated = companions_to_settle(on, chassis), mated_to_settle(on)
    odd, odd_count = odd_as_judged(most)
    return BenchReport(
        on=on,
        due=due,
        due_count=pairs.counts[DUE],
        to_reset=pairs.of(RESET_AND_VERIFY),
        reset_count=pairs.counts[RESET_AND_VERIFY],
        presumed=pairs.of(PRESUMED),
        presumed_count=pairs.counts[PRESUMED],
        companions=tuple(companions[:most]),
        mated=tuple(mated if most is None else mated[: max(most - len(companions), 0)]),
        companion_count=len(companions) + len(mated),
        doubtful=tuple(doubtful),
        doubtful_count=doubtful_count,
        odd=tuple(odd),
        odd_count=odd_count,
        homeless=tuple(homeless[:most]),
        homeless_count=homeless.count(),
        missed=tuple(missed[:most]),
        missed_count=missed.count(),
        to_count=rows_to_count().count(),
        unsettled=tubes_here().filter(type__isnull=True).count(),
        never_tested=called_good(),
        sections=sections_of(on, most),
        here=what_is_here(),
    )


def what_is_here() -> Here:
    """Whether there is anything that could need a hand (three queries)."""
    rows = Item.objects.filter(gone_on__isnull=True).order_by().values_list("kind").annotate(count=Count("pk"))
    count = dict(rows)
    pairs = bool(count.get(Item.CHASSIS) and count.get(Item.UNIT))
    companions = bool(count.get(Item.COMPANION)) or MatedSet.objects.exists()
    return Here(sum(count.values()), pairs, open_fittings().exists(), companions)


def called_good() -> int:
    """How many tubes in sets here are called good though no test of them is recorded (one query)."""
    tested = Exists(TubeTest.objects.filter(tube=OuterRef("tube"), struck=""))
    rows = open_fittings().filter(~tested, tube__state=Tube.GOOD, chassis__item__gone_on__isnull=True)
    return rows.count()


def not_found() -> QuerySet[Item]:
    """Things that a stock-take did not find and nobody has seen since, the latest first."""
    rows = with_whereabouts(Item.objects.filter(missed_on__isnull=False, gone_on__isnull=True))
    return rows.select_related(*thing_columns()).order_by("-missed_on", "tag")


def without_place() -> QuerySet[Item]:
    """Things here, in no place, in no set and not lent."""
    fitted = Exists(open_fittings().filter(tube__item=OuterRef("pk")))
    seated = Exists(Seating.objects.filter(until__isnull=True, unit__item=OuterRef("pk")))
    rows = Item.objects.filter(~fitted, ~seated, Q(lent_to=""), place__isnull=True, gone_on__isnull=True)
    return rows.select_related(*thing_columns()).order_by("tag")
