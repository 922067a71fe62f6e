"""Which positions of the sets here call for a type, and which of them want a tube."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from inventory.holdings.models import Tube
from inventory.house.concerns import doubts_of_many
from inventory.sets.models import Position
from inventory.sets.queries import chassis_here, open_fittings
from inventory.sets.queries.in_position import stand_ins_in

EMPTY, STOOD_IN = "empty", "a stand-in sits there"
URGENCY = (EMPTY, Tube.DUD, Tube.WEAK, Tube.UNTESTED, STOOD_IN, Tube.GOOD)
NEEDY = (EMPTY, Tube.DUD, Tube.WEAK)


@dataclass(frozen=True)
class SetNeed:
    """A position of a set here that calls for a type, and the state of the tube in it (or that it is empty).

    ``doubt``: what the last tests say against a tube in it, in a word or two.
    """

    chassis: str
    tag: str
    mark: str
    role: str
    state: str
    position: int = 0
    doubt: str = ""

    @property
    def needy(self) -> bool:
        """Whether the position wants a tube: empty, or holding a dud, a weak one or one in doubt."""
        return self.state in NEEDY or bool(self.doubt)

    @property
    def told(self) -> str:
        """The state in words."""
        return f"{self.state}, last test: {self.doubt}" if self.doubt else self.state

    @property
    def urgency(self) -> tuple[int, bool]:
        """Empty first, then dud and weak; what is in doubt goes before what is not."""
        doubted = self.doubt and self.state not in NEEDY
        return URGENCY.index(Tube.WEAK if doubted else self.state), not self.doubt


def sorted_needs(needs: Iterable[SetNeed]) -> tuple[SetNeed, ...]:
    """The most urgent first: empty, dud, weak or in doubt, untested, good."""
    return tuple(sorted(needs, key=lambda need: (*need.urgency, need.chassis, need.mark)))


def needs_of(names: Iterable[str] | None = None) -> dict[str, list[SetNeed]]:
    """By type: every position of a set here that calls for it, with what is in it (a fixed number of queries).

    ``names`` None: all types.
    """
    positions = Position.objects.filter(type__isnull=False).order_by("set_model_id", "id")
    if names is not None:
        positions = positions.filter(type__name__in=list(names))
    of_model: dict[int, list[tuple[int, str, str, str]]] = defaultdict(list)
    for model, pk, mark, role, name in positions.values_list("set_model_id", "pk", "mark", "role", "type__name"):
        of_model[model].append((pk, mark, role, name))
    sets = list(chassis_here().filter(model__in=list(of_model)))
    fitted = open_fittings().filter(chassis__model__in=list(of_model))
    cells = list(fitted.values_list("chassis_id", "position_id", "tube_id", "tube__state"))
    doubts = doubts_of_many(tube for _, _, tube, _ in cells)
    held = {
        (chassis, position): (state, doubts[tube].word if tube in doubts else "")
        for chassis, position, tube, state in cells
    }
    for place in stand_ins_in([one.pk for one in sets]):
        held.setdefault(place, (STOOD_IN, ""))
    needs: dict[str, list[SetNeed]] = defaultdict(list)
    for one in sets:
        for pk, mark, role, name in of_model[one.model_id]:
            state, doubt = held.get((one.pk, pk), (EMPTY, ""))
            needs[name].append(SetNeed(str(one), one.tag, mark, role, state, pk, doubt))
    return needs
