"""What the mercury rectifiers of a set ask for before it is switched on."""

from collections.abc import Iterable

from inventory.sets.models import Chassis, SetModel
from inventory.sets.queries import SocketRow, sockets_of
from tubes.queries import Knowledge, knowledge
from tubes.queries.judging import limits
from tubes.queries.mercury import mercury_among
from tubes.rules.mercury import MercuryCare, Place, mercury_care


def mercury_of(chassis: Chassis) -> MercuryCare | None:
    """As ``mercury_in``, of a set whose sockets are not at hand."""
    known = knowledge()
    return mercury_in(sockets_of(chassis, known), chassis.model, known)


def mercury_in(sockets: Iterable[SocketRow], model: SetModel, known: Knowledge | None = None) -> MercuryCare | None:
    """Warm-up and mounting of the mercury rectifiers that a set wants or holds; None where it has none.

    ``known``: what the caller has fetched already.
    """
    places = [
        Place(
            row.position.mark,
            row.position.type.name if row.position.type else "",
            row.fitting.tube.type.name if row.fitting and row.fitting.tube.type else "",
            row.fitting.tube.tag if row.fitting else "",
        )
        for row in sockets
    ]
    mercury = mercury_among((name for place in places for name in (place.wanted, place.held)), known)
    if not mercury:
        return None
    return mercury_care(places, mercury, limits(), model.switched_together, model.on_side)
