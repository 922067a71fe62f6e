"""The positions of the sets of plans: what each wants, what is in it, and how that stands."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.holdings.models import Tube
from inventory.restoration.models import Plan, Reservation
from inventory.restoration.queries.stock import kept_tubes
from inventory.restoration.rules.words import DUD, EMPTY, GOOD, NEAR_LIMIT, UNTESTED, WEAK
from inventory.running.queries import verdicts_of
from inventory.running.rules.verdicts import BORDERLINE, REJECT
from inventory.sets.models import Chassis, Fitting, Position
from inventory.sets.queries import open_fittings
from inventory.sets.queries.sockets import Socket, sockets_of_models
from tubes.rules.judge_parts import Conditions

WANTING = frozenset({EMPTY, DUD, WEAK})


@dataclass(frozen=True)
class Slot:
    """A position of a set in a plan. ``standing``: of the tube in it; ``why``: that in a sentence.

    ``urgency``: higher is served first. ``reserved``: what is kept back for it.
    """

    plan: Plan
    chassis: Chassis
    socket: Socket
    fitting: Fitting | None
    standing: str
    why: str
    urgency: int
    reserved: Reservation | None = None

    @property
    def position(self) -> Position:
        return self.socket.position

    @property
    def key(self) -> tuple[int, int, int]:
        """Plan, set and position by their keys."""
        return self.plan.pk, self.chassis.pk, self.position.pk

    @property
    def wanted(self) -> str:
        return self.socket.wanted

    @property
    def conditions(self) -> Conditions:
        return self.socket.conditions

    @property
    def wants(self) -> bool:
        """Whether it asks the stock for a tube."""
        return self.standing in WANTING

    @property
    def need(self) -> str:
        """What it asks for, in words."""
        role = f", {self.position.role}" if self.position.role else ""
        return f"{self.wanted} in {self.position.mark}{role}"


def urgencies(plans: Sequence[Plan]) -> dict[int, int]:
    """The urgency of each plan by key: priority 1 is the most urgent, plans of one priority are alike."""
    return {plan.pk: -plan.priority for plan in plans}


def slots_of(plans: Sequence[Plan], sets_of: dict[int, list[Chassis]]) -> list[Slot]:
    """Every position, of a known type, of the sets of some plans (a fixed number of queries)."""
    chassis = {one.pk: one for sets in sets_of.values() for one in sets}
    fittings = _fitted(chassis)
    verdicts = verdicts_of([fitting.tube for fitting in fittings.values()])
    sockets = sockets_of_models({one.model_id for one in chassis.values()})
    kept = _kept_back(chassis)
    urgency = urgencies(plans)
    found = []
    for plan in plans:
        for one in sets_of.get(plan.pk, []):
            for socket in sockets.get(one.model_id, []):
                key = (one.pk, socket.position.pk)
                fitting = fittings.get(key)
                standing, why = _standing(fitting, verdicts)
                back = kept.get(key)
                if back and plan.pk and back.plan_id != plan.pk:
                    back = None  # kept back for another plan, which had the set
                found.append(Slot(plan, one, socket, fitting, standing, why, urgency[plan.pk], back))
    return found


def _fitted(chassis: Iterable[int]) -> dict[tuple[int, int], Fitting]:
    rows = open_fittings().filter(chassis__in=list(chassis))
    rows = rows.select_related("tube__item", "tube__type", "position")
    return {(row.chassis_id, row.position_id): row for row in rows}


def _kept_back(chassis: Iterable[int]) -> dict[tuple[int, int], Reservation]:
    rows = kept_tubes().filter(chassis__in=list(chassis), position__isnull=False)
    return {(row.chassis_id or 0, row.position_id or 0): row for row in rows}


def _standing(fitting: Fitting | None, verdicts: dict[int, str]) -> tuple[str, str]:
    """How the tube in a position stands: the keeper's word for its state first, then its last test."""
    if fitting is None:
        return EMPTY, "Nothing is in it."
    tube, verdict = fitting.tube, verdicts.get(fitting.tube_id, "")
    said = f"{tube.tag} is in it since {fitting.since}"
    if tube.state == Tube.DUD:
        return DUD, f"{said}: a dud."
    if tube.state == Tube.WEAK or verdict == REJECT:
        return WEAK, f"{said}: weak{', its last test below the limit' if verdict == REJECT else ''}."
    if tube.state == Tube.UNTESTED:
        return UNTESTED, f"{said}, never tested."
    if verdict == BORDERLINE:
        return NEAR_LIMIT, f"{said}: its last test was borderline."
    return GOOD, f"{said}: good."
