"""How sure the spares are enough for some hours: failures ahead by type, from the keeper's own record."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inventory.holdings.models import Tube
from inventory.restoration.queries.cover import Cover
from inventory.restoration.rules.demand import Demand, Prior, check_assurance, from_record, of_a_kit, percent
from inventory.restoration.rules.words import DUD, EMPTY
from inventory.running.queries.hours import accounts_of, tube_records
from inventory.sets.queries import good_by_type
from tubes.queries import knowledge
from tubes.queries.judging import Court, court
from tubes.rules.figures import RECTIFIERS


@dataclass(frozen=True)
class Experience:
    """What the keeper's own tubes of a type went through: so many failed in so many unit-hours."""

    failures: int
    unit_hours: float


@dataclass(frozen=True)
class Assured:
    """One type: how many are in use, good spares, failures ahead, how sure, and how many are wanted."""

    type: str
    in_use: int
    spares: int
    demand: Demand
    experience: Experience
    wanted: int

    @property
    def assurance(self) -> float:
        return self.demand.at_most(self.spares)

    @property
    def percent(self) -> str:
        return percent(self.assurance)


@dataclass(frozen=True)
class AssuredKit:
    """All types of a plan. The fitted tube counts as in use, never as a spare: a spare replaces it when it fails."""

    types: tuple[Assured, ...]
    hours: float
    wanted: float

    @property
    def assurance(self) -> float:
        return of_a_kit([one.assurance for one in self.types])

    @property
    def percent(self) -> str:
        return percent(self.assurance)

    @property
    def text(self) -> str:
        if not self.types:
            return "No tube is wanted, so no spare is."
        least = [f"{one.type} {one.wanted} ({one.spares} here)" for one in self.types if one.wanted > one.spares]
        more = f" To be {100 * self.wanted:g} % sure of each: {', '.join(least)}." if least else ""
        return (
            f"Spares on the shelf are enough for {self.hours:g} h with a chance of {self.percent} %, "
            f"the tube in each position not counted among them.{more}"
        )


def experience_of(names: Iterable[str], on: date) -> dict[str, Experience]:
    """Failures and unit-hours of the keeper's own tubes, by type, those that left among them (a fixed number of
    queries). A dud failed; hours before a tube came are no experience of this house.
    """
    rows = Tube.objects.filter(type__name__in=list(names)).select_related("type", "item")
    records = tube_records(rows)
    failures: Counter[str] = Counter()
    hours: dict[str, float] = defaultdict(float)
    for found, fact in zip(accounts_of(records, on), records.facts, strict=True):
        name = found.tube.type.name if found.tube.type else ""
        ran = found.account.hours - (fact.hours or 0.0)
        if ran <= 0:
            continue
        hours[name] += ran
        failures[name] += found.tube.state == Tube.DUD
    return {name: Experience(failures[name], hours[name]) for name in set(names)}


def prior_of(name: str, judges: Court) -> Prior:
    """The rate presumed of a type before one's own record, from a published base rate, held as half a failure's worth.

    MIL-HDBK-217E as summarized: receiving, power rectifier, transmitting tubes, "ground benign" (rows of limits.csv).
    """
    kind = judges[name].form.kind
    rating = judges[name].numbers.get("plate_w_max")
    power = rating is not None and rating.value >= judges.limits["spares.power_w"]
    key = "rectifier" if kind in RECTIFIERS else "transmitting" if power else "receiving"
    rate = judges.limits[f"spares.rate_{key}"] * judges.limits["spares.rate_ground"] / 1e6
    return Prior(0.5, 0.5 / rate, f"{key} tubes, {rate * 1e6:g} per million hours by MIL-HDBK-217E as summarized")


def demand_of(name: str, in_use: int, hours: float, had: Experience, judges: Court) -> Demand:
    """Failures ahead of the tubes of a type, from one's own record with Jeffreys' prior; a published rate stands in
    where that record is next to nothing (no failure and few hours).
    """
    few = judges.limits["spares.few_hours"]
    prior = None if had.failures or had.unit_hours >= few else prior_of(name, judges)
    return from_record(had.failures, had.unit_hours, in_use, hours, prior)


def assured(cover: Cover, on: date, hours: float | None = None, assurance: float | None = None) -> AssuredKit:
    """How sure the good spares are enough for every type that the sets of a plan have in use.

    ``hours``, ``assurance``: in the stead of those of the plan. Raises DemandRefused.
    """
    hours = cover.plan.hours if hours is None else hours
    wanted = cover.plan.assurance if assurance is None else assurance
    check_assurance(wanted)
    slots = [line.slot for line in cover.lines if line.slot is not None]
    in_use = Counter(slot.wanted for slot in slots)
    covering = Counter(slot.wanted for slot in slots if slot.standing in (EMPTY, DUD))
    judges = court(knowledge())
    kin = {name: judges.known.kin.same_as(name) | {name} for name in in_use}
    good = good_by_type(set().union(*kin.values()))
    had = experience_of(set().union(*kin.values()), on)
    told = []
    for name, number in sorted(in_use.items()):
        own = Experience(sum(had[one].failures for one in kin[name]), sum(had[one].unit_hours for one in kin[name]))
        demand = demand_of(name, number, hours, own, judges)
        spares = max(sum(good.get(one, 0) for one in kin[name]) - covering[name], 0)
        told.append(Assured(name, number, spares, demand, own, demand.spares_for(wanted)))
    return AssuredKit(tuple(told), hours, wanted)
