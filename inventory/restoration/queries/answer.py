"""The whole answer on one plan or set: cover, and how sure for how long."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from inventory.restoration.models import Plan
from inventory.restoration.queries.assured import AssuredKit, assured
from inventory.restoration.queries.cover import Cover, cover_of, cover_of_set, plan_or_set


@dataclass(frozen=True)
class Readiness:
    """What page, command and API show of a plan."""

    cover: Cover
    assured: AssuredKit

    def as_dict(self) -> dict[str, Any]:
        count = self.cover.count
        return {
            "restoration": self.cover.plan.name,
            "lines": [line.as_dict() for line in self.cover.lines],
            "covered": count.covered,
            "short": count.short,
            "assurance": self.assured.assurance,
            "can_start": count.can_start,
            "answer": count.answer,
            "to_test": count.after_test,
            "hours": self.assured.hours,
            "spares": [
                {
                    "type": one.type, "in_use": one.in_use, "spares": one.spares, "expected": one.demand.expected,
                    "assurance": one.assurance, "wanted": one.wanted, "method": one.demand.method,
                }
                for one in self.assured.types
            ],
            "cautions": list(self.cover.cautions),
            "text": f"{count.text} {self.assured.text}",
        }  # fmt: skip


def answer_of(plan: Plan, on: date) -> Readiness:
    """The answer on a plan, for its own hours."""
    cover = cover_of(plan, on)
    return Readiness(cover, assured(cover, on))


def readiness(name: str, on: date, hours: float | None = None, assurance: float | None = None) -> Readiness:
    """The answer on what a name means, a plan or a set as if it were planned. Raises ValueError."""
    meant = plan_or_set(name)
    cover = cover_of(meant, on) if isinstance(meant, Plan) else cover_of_set(meant, on)
    return Readiness(cover, assured(cover, on, hours, assurance))
