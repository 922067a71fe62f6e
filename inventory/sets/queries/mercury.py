"""What the mercury rectifiers of a set ask for before it is switched on."""

from collections.abc import Iterable, Sequence

from django.db.models import Q

from inventory.holdings.models import Item, Tube
from inventory.sets.models import Chassis, Position, SetModel
from inventory.sets.queries import FEW, SocketRow, open_fittings, sockets_of
from tubes.models import TubeType
from tubes.queries import Knowledge, knowledge
from tubes.queries.judging import limits
from tubes.queries.mercury import mercury_among
from tubes.rules.judge_rectifier import against_mercury
from tubes.rules.mercury import MercuryCare, Place, handling, mercury_care

NAMED = 6  # rectifiers named one by one in a caution
CARRIED = (  # common practice, no source
    "Carry it upright and cushioned, taken out of a set that has to be tipped. Where one breaks, mercury is let out: "
    "leave and air the room, no vacuum cleaner, and local rules for mercury come first."
)


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
    known = known or knowledge()
    mercury = mercury_among((name for place in places for name in (place.wanted, place.held)), known)
    if not mercury:
        return None
    return mercury_care(places, mercury, limits(known.titles), model.switched_together, model.on_side)


def mercury_against(position: Position, kind: TubeType | None) -> str:
    """What speaks against a tube of this type in a position, since it holds mercury; empty where nothing does."""
    model = position.set_model
    told = against_mercury(model.switched_together, model.on_side)
    return " ".join(told) if told and kind is not None and mercury_among([kind.name]) else ""


def mercury_carried(items: Sequence[Item]) -> list[str]:
    """What to mind when things are carried: the mercury rectifiers among them, and in sets among them (a fixed number
    of queries).
    """
    keys = {item.pk for item in items if item.kind in (Item.TUBE, Item.CHASSIS)}
    tubes = Tube.objects.filter(type__isnull=False).order_by("item__tag")
    held = open_fittings().filter(tube__type__isnull=False).order_by("chassis__item__tag", "position")
    if len(keys) <= FEW:
        tubes, held = tubes.filter(pk__in=keys), held.filter(chassis__in=keys)
    names = {*tubes.order_by().values_list("type__name", flat=True).distinct()} if keys else set()
    names |= {*held.order_by().values_list("tube__type__name", flat=True).distinct()} if keys else set()
    mercury = mercury_among(names) if names else frozenset()
    if not mercury:
        return []
    rows = tubes.filter(type__name__in=mercury).values_list("pk", "item__tag", "type__name")
    named = [f"{tag} ({name})" for key, tag, name in rows if key in keys]
    columns = ("chassis", "chassis__item__tag", "position__mark", "tube__item__tag", "tube__type__name")
    for key, chassis, mark, tag, name in held.filter(tube__type__name__in=mercury).values_list(*columns):
        named += [f"{chassis} holds {tag} ({name}) in {mark}"] if key in keys else []
    if not named:
        return []
    more = f"; and {len(named) - NAMED} more" if len(named) > NAMED else ""
    return [f"{'; '.join(named[:NAMED])}{more}. {handling(limits())} {CARRIED}"]


def mercury_cautions(names: Iterable[str] | None = None) -> list[tuple[str, str, str]]:
    """(type, set model, what speaks against it there) of mercury rectifiers that such a set wants (one query, and
    those of ``mercury_among`` where there is one). ``names``: of these types alone.
    """
    rows = Position.objects.filter(Q(set_model__on_side=True) | Q(set_model__switched_together=True))
    rows = rows.filter(type__isnull=False) if names is None else rows.filter(type__name__in=list(names))
    cells = rows.order_by("set_model__name", "type__name").values_list(
        "type__name", "set_model__name", "set_model__switched_together", "set_model__on_side"
    )
    found = list(cells.distinct())
    mercury = mercury_among(name for name, *_ in found) if found else ()
    return [
        (name, model, " ".join(against_mercury(together, side)))
        for name, model, together, side in found
        if name in mercury
    ]
