"""How many spares of one type are enough, by the record, the sets and the shelf of this house."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.holdings.models import Loan
from inventory.restoration.queries.experience import Experience, demand_of, record_of
from inventory.restoration.queries.nearness import the_very
from inventory.restoration.queries.reserved import reserved_keys
from inventory.restoration.rules.demand import check_assurance
from inventory.restoration.rules.spares import (
    AskedWrong,
    Enough,
    Question,
    check_counts,
    enough,
    of_demand,
    prior_chosen,
)
from inventory.sets.queries import good_tubes, open_fittings
from tubes.queries import find_type, knowledge
from tubes.queries.judging import court


@dataclass(frozen=True)
class OfType:
    """The answer on one type: what its failures rest on and why so. ``reserved``: good ones of the shelf that are none
    of its spares.
    """

    type: str
    enough: Enough
    experience: Experience
    why: str
    reserved: int = 0

    @property
    def reserved_words(self) -> str:
        """That good ones are reserved and not counted, in a sentence; empty where none are."""
        return f"{self.reserved} more good on the shelf, reserved for plans, are not counted." if self.reserved else ""

    def as_dict(self) -> dict[str, Any]:
        return {
            "type": self.type,
            "in_use": self.enough.in_use,
            "stock": self.enough.stock,
            **self.enough.as_dict(),
            "why": self.why,
            "reserved": self.reserved,
            "text": f"{self.enough.text} {self.reserved_words}".strip(),
            "failures": self.experience.failures,
            "failed": self.experience.failed,
            "unit_hours": self.experience.unit_hours,
        }


def spares_asked(cells: Mapping[str, Any], on: date) -> tuple[Enough, OfType | None]:
    """The answer of command, page and API. ``cells``: what was asked, by the names of ``Question``, beside ``type``.

    Raises AskedWrong, DemandRefused, ValidationError of a type that is not known.
    """
    given = {name: cells[name] for name in Question.__dataclass_fields__ if cells.get(name) is not None}
    question = Question(**given)
    if not cells.get("type"):
        return enough(question), None
    found = spares_of_type(cells["type"], on, question, in_use=cells.get("in_use"), stock=cells.get("stock"))
    return found.enough, found


def spares_of_type(
    name: str, on: date, question: Question, *, in_use: int | None = None, stock: int | None = None
) -> OfType:
    """Spares of a tube type, by any of its numbers: failures from one's own record, tubes in use as they are fitted now
    and good spares on the shelf that no plan has reserved, unless ``in_use`` or ``stock`` say otherwise (tubes beyond
    those fitted count as new).

    Raises AskedWrong, DemandRefused, ValidationError of a type that is not known.
    """
    for field in ("failures", "unit_hours", "rate", "mean_demand", "eta", "beta"):
        if getattr(question, field) is not None:
            raise AskedWrong(field, "does not go with a type, whose own record is counted")
    if question.hours is None:
        raise AskedWrong("hours", "is missing: how many hours ahead?")
    check_counts(in_use, stock)
    check_assurance(question.assurance)
    kind = find_type(name).name
    judges = court(knowledge())
    kin = judges.known.kin.same_as(kind) | {kind}
    fitted = list(
        open_fittings()
        .filter(tube__type__name__in=kin, chassis__item__gone_on__isnull=True)
        .order_by("pk")
        .values_list("tube", flat=True)
    )
    record = record_of(kin, on, fitted)
    ages = _ages(fitted, record.ages, in_use)
    had = record.of(sorted(kin))
    demand, why = demand_of(kind, ages, question.hours, had, judges, prior_chosen(question))
    reserved = 0
    if stock is None:
        borrowed = Loan.objects.filter(way=Loan.IN, ended__isnull=True)  # no spare of one's own
        good = good_tubes(the_very(kind, judges)).exclude(pk__in=borrowed.values("item"))
        reserved = good.filter(pk__in=reserved_keys()).count()
        stock = good.count() - reserved
    found = of_demand(demand, len(ages), question.needed, stock, question.assurance)
    return OfType(kind, found, had, why, reserved)


def _ages(fitted: list[int], ages: Mapping[int, float | None], in_use: int | None) -> list[float | None]:
    """Hours of the tubes in use: those fitted, so many of them as are asked about, and new ones beyond."""
    known = [ages.get(key) for key in fitted]
    return known if in_use is None else (known + [0.0] * in_use)[:in_use]
