"""The whole answer on one plan or set: cover, and how sure for how long."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from inventory.restoration.models import Plan
from inventory.restoration.queries.assured import AssuredKit, assured
from inventory.restoration.queries.cover import Cover, also_called, cover_of, cover_of_set, plan_or_set
from inventory.restoration.queries.power import SetPower, power_of
from inventory.restoration.rules.demand import DemandRefused
from inventory.sets.models import Chassis


@dataclass(frozen=True)
class Readiness:
    """What page, command and API show of a plan."""

    cover: Cover
    assured: AssuredKit
    power: tuple[SetPower, ...] = ()
    also: tuple[Chassis, ...] = ()

    @property
    def headline(self) -> str:
        """For what it is the answer, and what else the name would mean, in sentences."""
        cover, plan = self.cover, self.cover.plan
        sets = ", ".join(one.tagged for one in cover.sets) or "no set that is here"
        if cover.of_set is None and plan.pk:
            told = f"Plan {plan} ({plan.get_aim_display()}, {plan.state}): {sets}."
        elif cover.within:
            told = f"Set {sets}, in the plan {plan}."
        else:
            told = f"Set {sets}, as if it were planned."
        other = ", ".join(one.tagged for one in self.also)
        return f"{told} The name means {other} as well: ask for that by its tag." if other else told

    @property
    def warnings(self) -> list[str]:
        """What stands above everything else beside the cautions of the sets."""
        return [one.warning for one in self.power if one.warning]

    @property
    def within(self) -> str:
        """That a set is counted among the lines of its plan, as a sentence behind another; else empty."""
        return f" Counted in {self.cover.within}, the plan that it is in." if self.cover.within else ""

    @property
    def text(self) -> str:
        """The whole answer in sentences; of a finished plan how it ended, and nothing of spares."""
        ended = self.cover.plan.is_finished
        return self.cover.text if ended else f"{self.cover.text}{self.within} {self.assured.text}"

    def as_dict(self) -> dict[str, Any]:
        count = self.cover.count
        return {
            "restoration": self.cover.name,
            "plan": self.cover.plan.name if self.cover.plan.pk else "",
            "means": self.headline,
            "also": [one.tag for one in self.also],
            "lines": [line.as_dict() for line in self.cover.lines],
            "covered": count.covered,
            "short": count.short,
            "assurance": self.assured.assurance,
            "can_start": count.can_start,
            "answer": count.answer,
            "to_test": count.after_test,
            "to_confirm": count.on_word,
            "not_recorded": count.not_recorded,
            "not_here": count.not_here,
            "to_judge": count.to_judge,
            "not_said": count.not_said,
            "awaited": count.awaited,
            "to_do": count.to_do,
            "hours": self.assured.hours,
            "more_together": {} if self.assured.refused else self.assured.together,
            "spares": [
                {
                    "type": one.type, "names": [one.type, *one.names],
                    "in_use": one.in_use, "spares": one.spares, "expected": one.demand.expected,
                    "assurance": one.assurance, "wanted": one.wanted, "method": one.demand.method,
                    "needed": one.needed, "why": one.why, "source": one.demand.source,
                }
                for one in self.assured.types
            ],
            "cautions": [*self.warnings, *self.cover.cautions],
            "power": [one.as_dict() for one in self.power],
            "state": self.cover.plan.state if self.cover.plan.pk else "",
            "left_open": list(self.cover.plan.left),
            "text": self.text,
        }  # fmt: skip


def answer_of(
    meant: Plan | Chassis,
    on: date,
    hours: float | None = None,
    assurance: float | None = None,
    some: Mapping[str, int] | None = None,
) -> Readiness:
    """The answer on a plan, or on a set in its open plan, else as if it were planned; for its own hours where none
    are given.

    ``some``: of a type so many in use are enough. Raises ValueError.
    """
    cover = cover_of(meant, on) if isinstance(meant, Plan) else cover_of_set(meant, on)
    try:
        kit = assured(cover, on, hours, assurance, some)
    except DemandRefused as refusal:
        if hours is not None or assurance is not None or some:
            raise
        kit = AssuredKit((), cover.plan.hours, cover.plan.assurance, refused=str(refusal))  # the plan's own figures
    return Readiness(cover, kit, power_of(cover, on))


def readiness(
    name: str,
    on: date,
    hours: float | None = None,
    assurance: float | None = None,
    some: Mapping[str, int] | None = None,
) -> Readiness:
    """The answer on what a name means, a plan or a set as if it were planned: ``answer_of``. Raises ValueError."""
    meant = plan_or_set(name)
    return replace(answer_of(meant, on, hours, assurance, some), also=also_called(name, meant))
