"""How many spares are enough, asked in one of several ways: a record, a rate, a mean, or lives that wear out."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.restoration.rules.demand import (
    JEFFREYS,
    Demand,
    DemandRefused,
    Prior,
    at_mean,
    at_rate,
    check_assurance,
    from_record,
    renewed,
    spares_for_needed,
    still_working,
)

MOST_COUNTED = 100_000  # tubes in use, or spares; no collection is as large
NOT_COUNTED = "The tube in each position is not counted among the spares: a spare replaces it when it fails."


class AskedWrong(DemandRefused):
    """A question that lacks something or says it twice. ``field``: what of it; ``text`` goes on behind its name."""

    def __init__(self, field: str, text: str) -> None:
        super().__init__(f"{field.replace('_', ' ')} {text}".strip())
        self.field, self.text = field, text


@dataclass(frozen=True)
class Question:
    """``in_use`` tubes for ``hours``, and one way to their failures: ``failures`` in ``unit_hours`` (with a prior of
    ``prior_shape`` failures in ``prior_hours``), a ``rate`` an hour, a ``mean_demand``, or Weibull lives of ``eta``
    hours and shape ``beta``, of tubes that have the ``ages`` (None: not known; fewer than in use: the rest is new).

    ``needed``: so many of those in use are enough; None: all. ``stock``: spares there are.
    """

    in_use: int = 1
    hours: float | None = None
    assurance: float = 0.95
    stock: int = 0
    failures: int | None = None
    unit_hours: float | None = None
    rate: float | None = None
    mean_demand: float | None = None
    eta: float | None = None
    beta: float | None = None
    ages: tuple[float | None, ...] = ()
    needed: int | None = None
    prior_shape: float | None = None
    prior_hours: float | None = None


@dataclass(frozen=True)
class Enough:
    """How sure a number of spares is, and how many are wanted. ``needed`` of ``in_use`` must work."""

    demand: Demand
    in_use: int
    needed: int
    stock: int
    wanted: int

    def assurance(self, spares: int | None = None) -> float:
        """The chance that the stock, or so many, are enough."""
        return still_working(self.demand, self.in_use, self.needed, self.stock if spares is None else spares)

    @property
    def text(self) -> str:
        some = f" {self.needed} of the {self.in_use} in use are enough." if self.needed < self.in_use else ""
        return f"{NOT_COUNTED}{some}"

    def as_dict(self) -> dict[str, Any]:
        return {
            "expected": self.demand.expected,
            "distribution": list(self.demand.chances(max(self.wanted, self.stock) + 1)),
            "assurance_with_stock": self.assurance(),
            "spares_needed": self.wanted,
            "method": self.demand.method,
            "needed": self.needed,
            "source": self.demand.source,
            "text": self.text,
        }


def enough(question: Question) -> Enough:
    """The answer. Raises AskedWrong, DemandRefused."""
    check_assurance(question.assurance)
    check_counts(question.in_use, question.stock)
    return of_demand(demand_asked(question), question.in_use, question.needed, question.stock, question.assurance)


def check_counts(in_use: int | None, stock: int | None) -> None:
    """Refuse numbers that no collection has. Raises AskedWrong."""
    for name, number in (("stock", stock), ("in_use", in_use)):
        if number is not None and not 0 <= number <= MOST_COUNTED:
            raise AskedWrong(name, f"{number}: expected from 0 to {MOST_COUNTED:,}")


def of_demand(demand: Demand, in_use: int, needed: int | None, stock: int, assurance: float) -> Enough:
    """The answer where the failures ahead are known. Raises AskedWrong, DemandRefused."""
    needed = in_use if needed is None else needed
    if not 0 <= needed <= in_use:
        raise AskedWrong("needed", f"{needed}: expected from 0 to {in_use}, the number in use")
    return Enough(demand, in_use, needed, stock, spares_for_needed(demand, in_use, needed, assurance))


def demand_asked(question: Question) -> Demand:
    """Failures ahead by the one way that is given. Raises AskedWrong where it is none, or more than one."""
    ways = [name for name in ("failures", "rate", "mean_demand", "eta") if getattr(question, name) is not None]
    if len(ways) != 1:
        raise AskedWrong("", _one_way(ways))
    (way,) = ways
    _only_with(question, way)
    if way == "mean_demand":
        if question.mean_demand and not question.in_use:
            raise AskedWrong("in_use", f"0: of none in use {question.mean_demand:g} cannot fail")
        return at_mean(question.mean_demand or 0.0)
    if question.hours is None:
        raise AskedWrong("hours", "is missing: how many hours ahead?")
    if way == "rate":
        return at_rate(question.rate or 0.0, question.in_use, question.hours)
    if way == "eta":
        return _worn(question, question.hours)
    if question.unit_hours is None:
        raise AskedWrong("unit_hours", "is missing: in how many unit-hours did they fail?")
    return from_record(
        question.failures or 0, question.unit_hours, question.in_use, question.hours, prior_chosen(question)
    )  # fmt: skip


def prior_chosen(question: Question) -> Prior | None:
    """What the asker holds of the rate beforehand; None where nothing is said of it."""
    if question.prior_shape is None and question.prior_hours is None:
        return None
    shape, hours = question.prior_shape, question.prior_hours or 0.0
    shape = JEFFREYS if shape is None else shape
    return Prior(shape, hours, f"as chosen: {shape:g} failures in {hours:g} unit-hours")


def _one_way(ways: Sequence[str]) -> str:
    found = " and ".join(f"--{name.replace('_', '-')}" for name in ways) or "none of them"
    return f"{found} given; give one of --failures (with --unit-hours), --rate, --mean-demand, --eta (with --beta)"


_GOES_WITH = {
    "unit_hours": "failures", "prior_shape": "failures", "prior_hours": "failures", "beta": "eta", "ages": "eta",
}  # fmt: skip


def _only_with(question: Question, way: str) -> None:
    for name, other in _GOES_WITH.items():
        if other != way and getattr(question, name) not in (None, ()):
            raise AskedWrong(name, f"goes with {other}")


def _worn(question: Question, hours: float) -> Demand:
    if question.beta is None:
        raise AskedWrong("beta", "is missing: the shape of the Weibull lives")
    if len(question.ages) > question.in_use:
        raise AskedWrong("ages", f"{len(question.ages)} given; {question.in_use} are in use")
    new = (0.0,) * (question.in_use - len(question.ages))
    return renewed(question.eta or 0.0, question.beta, (*question.ages, *new), hours)


def read_ages(texts: Iterable[str]) -> tuple[float | None, ...]:
    """Hours of tubes in use as they are typed, ``unknown`` where not known. Raises AskedWrong."""
    told: list[float | None] = []
    for text in filter(None, map(str.strip, texts)):
        if text.lower() == "unknown":
            told.append(None)
            continue
        try:
            told.append(float(text))
        except ValueError as fault:
            raise AskedWrong("age", f"{text!r}: expected hours, or 'unknown'") from fault
    return tuple(told)
