"""The question of life: how long tubes of a type, of a family or of an emitter last, from the keeper's own."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from inventory.holdings.models import Tube
from inventory.holdings.queries.coming import never_there
from inventory.running.queries.hours import accounts_of, tube_records
from inventory.running.rules.survival import Life, Survival, SurvivalRefused, stretches, survival
from inventory.running.rules.words import ESTIMATED, KNOWN
from tubes.models import KEEPER, Rating, TubeType
from tubes.queries import knowledge
from tubes.rules.tables import CATHODES

EMITTERS = tuple(CATHODES)
UNKNOWN_HOURS = "hours before they came are not known"
ONLY_ESTIMATED = "hours before they came are only estimated"
NEVER_RAN = "never ran here"
OTHER_HOURS = "under watch at other hours, which do not join on to these"


@dataclass(frozen=True)
class LifeAnswer:
    """The answer, or why there is none; how many tubes are in it, and how many were left out for which reason.

    ``since``: hours that the tubes had reached before the first of these was under watch; the shares are of those.
    """

    answer: Survival | None
    why_not: str
    counted: int
    left_out: tuple[tuple[str, int], ...]
    since: float = 0.0


def types_of_emitter(emitter: str) -> set[int]:
    """Types with this emitter by their effective figures: the keeper's own stands before the tables'."""
    cathodes: dict[int, str] = {}
    for type_id, cathode, origin in Rating.objects.exclude(cathode="").values_list("type_id", "cathode", "origin"):
        if origin == KEEPER or type_id not in cathodes:
            cathodes[type_id] = cathode
    return {type_id for type_id, cathode in cathodes.items() if cathode == emitter}


def types_meant(kind: TubeType | None, same: bool, emitter: str) -> set[int]:
    """Keys of the types asked for: one, one with all that are the same tube, those of an emitter; all where no word."""
    if kind is not None:
        names = knowledge().kin.same_as(kind.name) if same else {kind.name}
        return set(TubeType.objects.filter(name__in=names).values_list("pk", flat=True))
    if emitter:
        return types_of_emitter(emitter)
    return set(TubeType.objects.values_list("pk", flat=True))


@dataclass(frozen=True)
class Watched:
    """A tube with its hours here: ``entry`` before it came, ``hours`` in all, and how sure they are.

    ``rejected``: whether its last test rejects it, where that was asked.
    """

    tube: Tube
    hours: float
    entry: float
    standing: str
    rejected: bool = False

    @property
    def worn(self) -> bool:
        """Whether it went weak or is rejected, and is no dud yet."""
        return self.tube.state != Tube.DUD and (self.tube.state == Tube.WEAK or self.rejected)


def watched(tubes: QuerySet[Tube], on: date) -> list[Watched]:
    """The hours of tubes, those that have left among them (a fixed number of queries); none of what never was here."""
    here = tubes.exclude(never_there("item__"))
    records = tube_records(here.select_related("type", "item"))
    return [
        Watched(found.tube, found.account.hours, fact.hours or 0.0, found.account.standing)
        for found, fact in zip(accounts_of(records, on), records.facts, strict=True)
    ]


def life_of(types: Iterable[int], on: date, *, weak_failed: bool = False, estimates: bool = False) -> LifeAnswer:
    """Survival of the tubes of some types, those that have left among them: ``life_among``."""
    rows = watched(Tube.objects.filter(type__in=list(types)), on)
    return life_among(rows, weak_failed=weak_failed, estimates=estimates)


def life_among(rows: Iterable[Watched], *, weak_failed: bool = False, estimates: bool = False) -> LifeAnswer:
    """Survival of some tubes (no query).

    A dud failed at the hours it had run; with ``weak_failed`` a weak or rejected one too. Tubes of unknown earlier
    hours are left out; a tube that came used counts from its earlier hours on, where they are known (or with
    ``estimates`` estimated). One that never ran here says nothing. Where for some hours none was under watch, the
    answer is of the stretch with most failures.
    """
    lives, left = [], dict.fromkeys((UNKNOWN_HOURS, ONLY_ESTIMATED, NEVER_RAN), 0)
    for one in rows:
        if one.standing not in (KNOWN, ESTIMATED):
            left[UNKNOWN_HOURS] += 1
        elif one.standing == ESTIMATED and not estimates:
            left[ONLY_ESTIMATED] += 1
        elif one.hours <= one.entry:
            left[NEVER_RAN] += 1
        else:
            failed = one.tube.state == Tube.DUD or (weak_failed and one.worn)
            lives.append(Life(one.hours, failed, one.entry))
    chosen = max(stretches(lives), key=lambda part: (sum(life.failed for life in part), len(part)), default=[])
    left[OTHER_HOURS] = len(lives) - len(chosen)
    told = tuple((why, count) for why, count in left.items() if count)
    if not chosen:
        return LifeAnswer(None, "no tube of these has known hours and ran here", 0, told)
    since = min(life.entry for life in chosen)
    try:
        answer = survival(chosen, left[UNKNOWN_HOURS] + left[ONLY_ESTIMATED])
    except SurvivalRefused as refusal:
        return LifeAnswer(None, str(refusal), len(chosen), told, since)
    return LifeAnswer(answer, "", len(chosen), told, since)
