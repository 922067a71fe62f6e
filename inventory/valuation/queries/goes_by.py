"""What a thing goes by: whose prices, and which mark is on its glass. The one place that says so, for page and sum."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

from inventory.holdings.models import Item
from inventory.valuation.queries.subjects import EQUIPMENT, Subject, mark_of, mark_subject, tube_subject
from inventory.valuation.queries.things import Thing
from inventory.valuation.rules.evidence import MILITARY
from tubes.queries import Knowledge


@dataclass(frozen=True, slots=True)
class GoesBy:
    """``subject``: whose prices, None where no evidence can be of it. ``mark``: ``military``, ``civilian``, or empty
    where that is not told. ``stamp``: what on the glass makes it military.
    """

    subject: Subject | None
    mark: str = ""
    stamp: str = ""


def goes_by(known: Knowledge) -> Callable[[Thing], GoesBy]:
    """A function that tells what a thing goes by; each stamp and type is read once."""

    @cache
    def tube(stamp: str, name: str) -> GoesBy:
        mark = mark_of(stamp, name, known)
        subject = tube_subject(name, known) if name else mark_subject(stamp, known)
        return GoesBy(subject, mark, stamp if mark == MILITARY else "")

    def told(thing: Thing) -> GoesBy:
        if thing.kind == Item.TUBE:
            return tube(thing.marked, thing.type)
        for what, name in zip(EQUIPMENT, (thing.set_model, thing.unit_model, thing.companion), strict=True):
            if name:
                return GoesBy(Subject(what, name))
        return GoesBy(None)

    return told
