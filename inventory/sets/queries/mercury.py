"""What the mercury rectifiers of a set ask for before it is switched on."""

from collections.abc import Iterable

from inventory.sets.models import SetModel
from inventory.sets.queries import SocketRow
from tubes.queries.judging import limits
from tubes.queries.mercury import mercury_among
from tubes.rules.mercury import MercuryCare, Place, mercury_care


def mercury_in(sockets: Iterable[SocketRow], model: SetModel) -> MercuryCare | None:
    """Warm-up and mounting of the mercury rectifiers that a set wants or holds; None where it has none."""
    places = [
        Place(
            row.position.mark,
            row.position.type.name if row.position.type else "",
            row.fitting.tube.type.name if row.fitting and row.fitting.tube.type else "",
            row.fitting.tube.tag if row.fitting else "",
        )
        for row in sockets
    ]
    mercury = mercury_among(name for place in places for name in (place.wanted, place.held))
    if not mercury:
        return None
    return mercury_care(places, mercury, limits(), model.switched_together, model.on_side)
