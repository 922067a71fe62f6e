"""What the keeper's own tubes went through, by type, and which failures are ahead by that."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from django.db.models import Q

from inventory.holdings.models import Tube
from inventory.restoration.rules.demand import Demand, DemandRefused, Prior, from_record, renewed
from inventory.restoration.rules.wear_out import Wear, wear_of
from inventory.running.queries import verdicts_of
from inventory.running.queries.survival import Watched, life_among, watched
from inventory.running.rules.verdicts import REJECT
from inventory.running.rules.words import ESTIMATED, KNOWN
from tubes.queries.judging import Court
from tubes.rules.figures import RECTIFIERS


@dataclass(frozen=True)
class Experience:
    """What the keeper's own tubes of a type went through: so many failed in so many unit-hours. ``tubes``: they."""

    failures: int
    unit_hours: float
    tubes: tuple[Watched, ...] = ()

    @property
    def failed(self) -> str:
        """What the failures were, in words; empty where there are none."""
        duds = sum(one.tube.state == Tube.DUD for one in self.tubes)
        weak = sum(one.worn and one.tube.state == Tube.WEAK for one in self.tubes)
        rejected = sum(one.worn for one in self.tubes) - weak
        told = ((duds, f"dud{'s' * (duds != 1)}"), (weak, "gone weak"), (rejected, "rejected by the last test"))
        return ", ".join(f"{count} {words}" for count, words in told if count)


@dataclass(frozen=True)
class Record:
    """The experience by type, and the hours of each tube that was asked for besides, by key (None: not known)."""

    by_type: dict[str, Experience]
    ages: dict[int, float | None] = field(default_factory=dict)

    def of(self, names: Iterable[str]) -> Experience:
        """Of types that are the same tube, together."""
        found = [self.by_type[name] for name in names if name in self.by_type]
        return Experience(
            sum(one.failures for one in found),
            sum(one.unit_hours for one in found),
            tuple(tube for one in found for tube in one.tubes),
        )


def record_of(names: Iterable[str], on: date, besides: Iterable[int] = ()) -> Record:
    """Failures and unit-hours of the keeper's own tubes of some types, those that left among them (a fixed number of
    queries). A dud failed, and so did a tube that is weak or that its last test rejects: a position asks for another
    then. Hours before a tube came are no experience of this house. ``besides``: keys of tubes whose hours are asked
    for.
    """
    keys = set(besides)
    rows = watched(Tube.objects.filter(Q(type__name__in=list(names)) | Q(pk__in=keys)), on)
    ran = [(one.tube.type.name, one) for one in rows if one.tube.type and one.hours > one.entry]
    verdicts = verdicts_of(one.tube for _, one in ran)
    of_type: dict[str, list[Watched]] = defaultdict(list)
    for name, one in ran:
        of_type[name].append(replace(one, rejected=verdicts.get(one.tube.pk) == REJECT))
    told = {name: _summed(tubes) for name, tubes in of_type.items()}
    ages = {one.tube.pk: one.hours if one.standing in (KNOWN, ESTIMATED) else None for one in rows}
    return Record(told, {key: ages[key] for key in keys & ages.keys()})


def _summed(tubes: Sequence[Watched]) -> Experience:
    failures = sum(one.tube.state == Tube.DUD or one.worn for one in tubes)
    return Experience(failures, sum(one.hours - one.entry for one in tubes), tuple(tubes))


def prior_of(name: str, judges: Court) -> Prior:
    """The rate presumed of a type as long as none failed here, from a published base rate, held as half a failure's
    worth.

    MIL-HDBK-217E as summarized: receiving, power rectifier, transmitting tubes, "ground benign" (rows of limits.csv).
    """
    key, why = _class_of(name, judges)
    rate = judges.limits[f"spares.rate_{key}"] * judges.limits["spares.rate_ground"] / 1e6
    told = f"{key} tubes{f' ({why})' if why else ''}"
    return Prior(0.5, 0.5 / rate, f"{told}, {rate * 1e6:g} per million hours by MIL-HDBK-217E as summarized")


def _class_of(name: str, judges: Court) -> tuple[str, str]:
    """Receiving, rectifier or transmitting, as the published rates part tubes, and by what.

    The text parts them by their service and names no watts, and plate dissipation alone decides nothing: an output tube
    of receivers (6V6GT 12 W, 6L6GC 30 W) may exceed a small transmitting tube (6146 20 W). So a tube of power counts as
    a transmitting one where its figures show that it was made for it: a highest frequency for full ratings, which only
    sheets of transmitting tubes give, or a thoriated filament (common practice, no source).
    """
    figures = judges[name]
    if figures.form.kind in RECTIFIERS:
        return "rectifier", ""
    rating, full = figures.numbers.get("plate_w_max"), figures.numbers.get("freq_max_mhz")
    thoriated = figures.word("cathode") == "thoriated-tungsten"
    if rating is None:
        return ("transmitting", f"full ratings up to {full.value:g} Mc") if full else ("receiving", "")
    if rating.value < judges.limits["spares.power_w"]:
        return "receiving", ""
    if full:
        return "transmitting", f"{rating.value:g} W, full ratings up to {full.value:g} Mc"
    if thoriated:
        return "transmitting", f"{rating.value:g} W, thoriated filament"
    return "receiving", f"{rating.value:g} W, an output tube: no highest frequency for full ratings is on its sheet"


def wear_among(had: Experience, judges: Court) -> Wear:
    """Whether the tubes of a type wear out by one's own record. Lives are fitted only where enough of them failed."""
    fewest, shape = judges.limits["spares.wear_failures"], judges.limits["spares.wear_shape"]
    if had.failures < fewest:
        return wear_of(None, had.failures, fewest, shape)
    life = life_among(had.tubes, weak_failed=True)
    if life.answer is None:
        return wear_of(None, had.failures, fewest, shape, life.why_not)
    why_not = life.answer.remarks[0] if life.answer.remarks and life.answer.weibull is None else ""
    return wear_of(life.answer.weibull, life.answer.events, fewest, shape, why_not)


def demand_of(
    name: str, ages: Sequence[float | None], hours: float, had: Experience, judges: Court, prior: Prior | None = None
) -> tuple[Demand, str]:
    """Failures ahead of the tubes of a type in use, which have these ages, and why in that way.

    Renewals where one's own record shows that they wear out; else from failures in unit-hours with the prior chosen. If
    none is: a published rate, which hours without a failure only lower, as long as none failed; the first failure
    shows that this rate does not hold here, so from then on Jeffreys' prior. More hours never raise what is expected.
    """
    wear, beside = wear_among(had, judges), ""
    if prior is None and not had.failures:
        prior = prior_of(name, judges)
        beside = f" No failure in {had.unit_hours:,.0f} unit-hours here: a published rate, lowered by these hours."
    elif prior is None:
        beside = _by_published_rate(name, len(ages) * hours, had, judges)
        if had.unit_hours < judges.limits["spares.few_hours"]:
            beside = (
                f" {had.unit_hours:,.0f} unit-hours say little of a rate: more of them may change this much.{beside}"
            )
    if wear.fit is not None:
        try:
            demand = renewed(wear.fit.eta, wear.fit.beta, ages, hours)
        except DemandRefused as refusal:
            return from_record(had.failures, had.unit_hours, len(ages), hours, prior), f"{wear.why} {refusal}{beside}"
        return demand, f"{wear.why}{_unknown_ages(ages)} A spare counts as new."
    return from_record(had.failures, had.unit_hours, len(ages), hours, prior), f"{wear.why}{beside}"


def _by_published_rate(name: str, ahead: float, had: Experience, judges: Court) -> str:
    """What the record would say if the published rate still held, in a sentence: the two may lie far apart."""
    held = prior_of(name, judges)
    expected = (held.shape + had.failures) * ahead / (held.hours + had.unit_hours)
    return f" By the published rate and this record together {expected:.2g} would be expected: it may lie between."


def _unknown_ages(ages: Sequence[float | None]) -> str:
    unknown = sum(age is None for age in ages)
    if not unknown:
        return ""
    return f" The hours of {unknown} of the {len(ages)} in use are not known: taken as met at any time of their lives."
