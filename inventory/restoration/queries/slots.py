"""The positions of the sets of plans: what each wants, what is in it, and how that stands."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.holdings.models import Tube
from inventory.restoration.models import Plan, Reservation
from inventory.restoration.queries.nearness import EXACT, NEARNESS, Words, is_unknown, nearness
from inventory.restoration.queries.stock import kept_tubes
from inventory.restoration.rules.words import (
    DUD,
    EMPTY,
    GOOD,
    NEAR_LIMIT,
    NOT_KNOWN,
    READ_GOOD,
    STOOD_IN,
    UNTESTED,
    WEAK,
    WRONG_TYPE,
)
from inventory.running.queries import verdicts_of
from inventory.running.rules.verdicts import BORDERLINE, REJECT
from inventory.running.rules.verdicts import GOOD as GOOD_BY_TEST
from inventory.sets.models import Chassis, Fitting, Position
from inventory.sets.queries import open_fittings
from inventory.sets.queries.in_position import Sitting, stand_ins_in
from inventory.sets.queries.sockets import Socket, sockets_of_models
from tubes.queries.judging import Court
from tubes.rules.judge_parts import Conditions

WANTING = frozenset({EMPTY, DUD, WEAK, WRONG_TYPE})


@dataclass(frozen=True)
class Slot:
    """A position of a set in a plan. ``standing``: of the tube in it; ``why``: that in a sentence.

    ``urgency``: higher is served first; within a plan what stops it goes before a weak tube, which may stay.
    ``reserved``: what is reserved for it. ``other``: the type of the tube in it where that is another than is wanted.
    ``stand_ins``: what sits in it in the place of a tube.
    """

    plan: Plan
    chassis: Chassis
    socket: Socket
    fitting: Fitting | None
    standing: str
    why: str
    urgency: int
    reserved: Reservation | None = None
    other: str = ""
    stand_ins: tuple[Sitting, ...] = ()

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


def tube_words(tube: Tube) -> str:
    """A tube that is proposed, with the state it is in."""
    return f"{tube.tag}, {tube.state}"


def urgencies(plans: Sequence[Plan]) -> dict[int, int]:
    """The urgency of each plan by key: priority 1 is the most urgent, plans of one priority are alike."""
    return {plan.pk: -plan.priority for plan in plans}


@dataclass(frozen=True)
class Unrecorded:
    """What nobody recorded of a set in a plan: the type that a position wants, with what is in it and the verdict of
    its last test, or (no ``position``) its positions at all.
    """

    plan: Plan
    chassis: Chassis
    position: Position | None = None
    fitting: Fitting | None = None
    verdict: str = ""
    stand_ins: tuple[Sitting, ...] = ()


def slots_of(
    plans: Sequence[Plan], sets_of: dict[int, list[Chassis]], judges: Court, words: Words
) -> tuple[list[Slot], list[Unrecorded]]:
    """Every position of the sets of some plans, and of what is not recorded that (a fixed number of queries)."""
    chassis = {one.pk: one for sets in sets_of.values() for one in sets}
    fittings, sits = _fitted(chassis), stand_ins_in(chassis)
    verdicts = verdicts_of([fitting.tube for fitting in fittings.values()])
    sockets = sockets_of_models({one.model_id for one in chassis.values()})
    typeless = _typeless({one.model_id for one in chassis.values()})
    kept = _reserved(chassis)
    urgency = urgencies(plans)
    others = _others(chassis, sockets, fittings, judges, words)
    found, unrecorded = [], []
    for plan in plans:
        for one in sets_of.get(plan.pk, []):
            for socket in sockets.get(one.model_id, []):
                key = (one.pk, socket.position.pk)
                fitting = fittings.get(key)
                other = others.get(key, _THE_TYPE)
                there = sits.get(key, ())
                standing, why = _beside_stand_in(_standing(fitting, verdicts, socket, other), fitting, there)
                back = kept.get(key)
                if back and plan.pk and back.plan_id != plan.pk:
                    back = None  # reserved for another plan, which had the set
                first = 2 * urgency[plan.pk] + (standing != WEAK)
                found.append(Slot(plan, one, socket, fitting, standing, why, first, back, other.name, there))
            for position in typeless.get(one.model_id, []):
                fitting = fittings.get((one.pk, position.pk))
                verdict = verdicts.get(fitting.tube_id, "") if fitting else ""
                unrecorded.append(
                    Unrecorded(plan, one, position, fitting, verdict, sits.get((one.pk, position.pk), ()))
                )
            if one.model_id not in sockets and one.model_id not in typeless:
                unrecorded.append(Unrecorded(plan, one))
    return found, unrecorded


def _typeless(models: Iterable[int]) -> dict[int, list[Position]]:
    """Positions that do not say which type they want, by the key of their model (one query)."""
    found: dict[int, list[Position]] = defaultdict(list)
    for position in Position.objects.filter(set_model__in=list(models), type__isnull=True).order_by("id"):
        found[position.set_model_id].append(position)
    return found


@dataclass(frozen=True)
class _Type:
    """The type of a tube in a position: how near it is to the one wanted, and whether anybody can say.

    ``name``: where it is another type, of which somebody can say.
    """

    near: int = EXACT
    known: bool = True
    name: str = ""


_THE_TYPE, _UNSETTLED = _Type(), _Type(0, known=False)


def _others(
    chassis: dict[int, Chassis],
    sockets: dict[int, list[Socket]],
    fittings: dict[tuple[int, int], Fitting],
    judges: Court,
    words: Words,
) -> dict[tuple[int, int], _Type]:
    """Tubes that are not of the type their position wants, by set and position; the judge is asked of no others."""
    odd = [
        ((key, socket.position.pk), socket, fitting.tube.type)
        for key, one in chassis.items()
        for socket in sockets.get(one.model_id, [])
        if (fitting := fittings.get((key, socket.position.pk))) and fitting.tube.type_id != socket.position.type_id
    ]
    found = {key: _UNSETTLED for key, _, kind in odd if kind is None}
    named = [(key, socket, kind.name) for key, socket, kind in odd if kind is not None]
    types = sorted({name for *_, name in named})
    near = nearness([socket for _, socket, _ in named], types, judges, words) if named else ()
    for row, (key, socket, name) in zip(near, named, strict=True):
        this = int(row[types.index(name)])
        refused = name in words.get(socket.position.pk, {})
        known = bool(this) or refused or not is_unknown(socket, name, judges)
        found[key] = _Type(this, known, name if this != EXACT else "")
    return found


def _fitted(chassis: Iterable[int]) -> dict[tuple[int, int], Fitting]:
    rows = open_fittings().filter(chassis__in=list(chassis))
    rows = rows.select_related("tube__item", "tube__type", "position")
    return {(row.chassis_id, row.position_id): row for row in rows}


def _reserved(chassis: Iterable[int]) -> dict[tuple[int, int], Reservation]:
    rows = kept_tubes().filter(chassis__in=list(chassis), position__isnull=False)
    return {(row.chassis_id or 0, row.position_id or 0): row for row in rows}


def _standing(fitting: Fitting | None, verdicts: dict[int, str], socket: Socket, other: _Type) -> tuple[str, str]:
    """How the tube in a position stands: its type, the keeper's word for its state, then its last test."""
    if fitting is None:
        return EMPTY, "Nothing is in it."
    tube, verdict = fitting.tube, verdicts.get(fitting.tube_id, "")
    said = f"{tube.tag}{_named(other, socket.wanted)} is in it since {fitting.since}"
    if tube.state == Tube.DUD:
        return DUD, f"{said}: a dud."
    if not other.near and other.known:
        return WRONG_TYPE, f"{said}: it may not stand there."
    if tube.state == Tube.WEAK or verdict == REJECT:
        return WEAK, f"{said}: weak{', its last test below the limit' if verdict == REJECT else ''}."
    if not other.known:
        return NOT_KNOWN, f"{said}: nobody can say whether it may stand there."
    if tube.state == Tube.UNTESTED:
        return _not_called_good(said, verdict)
    if verdict == BORDERLINE:
        return NEAR_LIMIT, f"{said}: its last test was borderline."
    return GOOD, f"{said}: good."


def _beside_stand_in(
    told: tuple[str, str], fitting: Fitting | None, there: Sequence[Sitting]
) -> tuple[str, str]:  # fmt: skip
    """How a position stands with what sits in it in the place of a tube; one of which its word says that it does not
    serve asks for a tube all the same.
    """
    if not there:
        return told
    standing, why = told
    if fitting is not None:
        names = " and ".join(one.name for one in there)
        return standing, f"{why} By the register {names} sits there too: one of them cannot be there, look which."
    words = " ".join(one.why for one in there)
    if all(one.row.serves for one in there):
        return STOOD_IN, words
    return WRONG_TYPE, f"{words} Take it out before a tube goes in."


def _named(other: _Type, wanted: str) -> str:
    """What a tube is that is not of the very type, behind its tag."""
    if not other.known and not other.name:
        return ", of a type that has not been settled,"
    if not other.name:
        return ""
    what = f", a {NEARNESS[other.near]} of the {wanted} that it wants" if other.near else f" where a {wanted} is wanted"
    return f", a {other.name}{what},"


def _not_called_good(said: str, verdict: str) -> tuple[str, str]:
    """How a tube stands that the register calls untested."""
    if verdict in (GOOD_BY_TEST, BORDERLINE):
        return READ_GOOD, f"{said}; its last test says {verdict}, and your word on it is wanted."
    return UNTESTED, f"{said}, {'tested, with nothing to judge it by' if verdict else 'never tested'}."
