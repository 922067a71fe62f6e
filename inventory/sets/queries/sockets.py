"""The sockets of the sets that are here, what each gives to a tube, and how many of them a type could serve in."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Q, QuerySet

from inventory.sets.models import Position
from tubes.queries.judging import Court
from tubes.rules.judge_parts import CARE, FITS, UNKNOWN, Conditions
from tubes.rules.judge_search import TypeTable, verdict_ranks


@dataclass(frozen=True)
class Socket:
    """A position with the type it wants; ``chassis``: how many sets here have it; ``conditions``: what it gives."""

    position: Position
    wanted: str
    chassis: int
    conditions: Conditions


@dataclass(frozen=True)
class Served:
    """Sockets of the sets here that a type could serve in: as the judge finds it, plainly or with care.

    ``not_known``: sockets of which nobody can say, since figures are missing.
    """

    fits: int = 0
    with_care: int = 0
    not_known: int = 0

    def __add__(self, other: "Served") -> "Served":
        return Served(self.fits + other.fits, self.with_care + other.with_care, self.not_known + other.not_known)

    @property
    def total(self) -> int:
        return self.fits + self.with_care

    def as_dict(self) -> dict[str, int]:
        plain = {"fits": self.fits, "with care": self.with_care}
        return {**plain, "not known": self.not_known} if self.not_known else plain


def conditions_of(position: Position) -> Conditions:
    """What a position gives; one query to see whether its heater is in a string."""
    return _given(position, _strings(Position.objects.filter(set_model=position.set_model_id)))


Branch = tuple[int, str]  # key of the set model, letter of the branch


def _strings(positions: Iterable[Position]) -> frozenset[Branch]:
    """The heater branches that more than one of some positions share: their heaters are in series."""
    counts = Counter((p.set_model_id, p.heater_branch) for p in positions if p.heater_branch)
    return frozenset(branch for branch, number in counts.items() if number > 1)


def _given(position: Position, strings: frozenset[Branch]) -> Conditions:
    """What a position gives, as its set model states it; what is not stated is left open and the judge says so.

    In a string the filament supply of the set stands across the whole string. Elsewhere the voltage at the socket
    counts, which may be less than the supply's behind a dropper.
    """
    in_string = (position.set_model_id, position.heater_branch) in strings
    return Conditions(
        series=in_string,
        supply_v=position.set_model.filament_supply_v if in_string else position.heater_v,
        plate_v=position.plate_v,
        plate_w=position.plate_w,
        screen_v=position.screen_v,
        screen_w=position.screen_w,
        output_ma=position.output_ma,
        frequency_mhz=position.frequency_mc,
        neutralized=position.neutralized,
        tuned=position.tuned,
        switched_together=position.set_model.switched_together,
        on_side=position.set_model.on_side,
        gain_controlled=position.gain_controlled,
    )


def _counted() -> QuerySet[Any]:
    """Positions by set model, each with how many sets here have it (``chassis``)."""
    chassis = Count("set_model__chassis", filter=Q(set_model__chassis__item__gone_on__isnull=True))
    rows = Position.objects.annotate(chassis=chassis)
    return rows.select_related("set_model", "type").order_by("set_model__name", "id")


def sockets_here() -> list[Socket]:
    """Every position that a set here has, with the type it wants and what it gives (one query)."""
    positions = list(_counted().filter(chassis__gt=0))
    strings = _strings(positions)
    return [Socket(p, p.type.name, p.chassis, _given(p, strings)) for p in positions if p.type is not None]


def sockets_of_models(models: Iterable[int]) -> dict[int, list[Socket]]:
    """The positions of set models that say which type they want, by the key of the model (one query)."""
    positions = list(_counted().filter(set_model__in=list(models)))
    strings = _strings(positions)
    found: dict[int, list[Socket]] = {}
    for position in positions:
        if position.type is not None:
            socket = Socket(position, position.type.name, position.chassis, _given(position, strings))
            found.setdefault(position.set_model_id, []).append(socket)
    return found


def positions_wanting(type_names: Iterable[str]) -> list[Position]:
    """Every position that calls for one of these types; ``chassis``: how many sets here have it (one query)."""
    return list(_counted().filter(type__name__in=list(type_names)))


def served_by(names: Iterable[str], judges: Court, sockets: Sequence[Socket]) -> dict[str, Served]:
    """For each type, how many of the sockets it could serve in.

    Places alike are judged once, over all types at once. The very tube wanted counts as fitting, whatever is not
    known of it, unless the place itself asks for care (mercury in a set on its side). A socket whose values cannot be
    is left out.
    """
    return served_in(TypeTable.build([judges[name] for name in dict.fromkeys(names)], judges.limits), judges, sockets)


def served_in(table: TypeTable, judges: Court, sockets: Sequence[Socket]) -> dict[str, Served]:
    """``served_by`` of the types of a table that has been built already."""
    alike: Counter[tuple[str, Conditions]] = Counter()
    for socket in sockets:
        alike[socket.wanted, socket.conditions] += socket.chassis
    fits: Counter[str] = Counter()
    with_care: Counter[str] = Counter()
    not_known: Counter[str] = Counter()
    for (wanted, conditions), number in alike.items():
        try:
            ranks = verdict_ranks(judges[wanted], conditions, table, judges.bench)
        except ValueError:
            continue
        same = judges.known.kin.same_as(wanted) | {wanted}
        for name, at in table.at.items():
            if ranks[at] == CARE:
                with_care[name] += number
            elif name in same or ranks[at] == FITS:
                fits[name] += number
            elif ranks[at] == UNKNOWN:
                not_known[name] += number
    return {name: Served(fits[name], with_care[name], not_known[name]) for name in table.at}
