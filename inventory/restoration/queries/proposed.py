"""What the assignment proposes to reserve for a plan, and how a page that showed it says so when it comes back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.holdings.models import PartLot, Tube
from inventory.restoration.models import Plan
from inventory.restoration.queries.allotment import Allotment
from inventory.restoration.queries.parts import Deal, PartLine
from inventory.restoration.queries.slots import Slot, tube_words

Taking = tuple[PartLine, PartLot, int]
BETWEEN = "; "
MOST_TOLD = 3


@dataclass(frozen=True)
class Proposed:
    """Tubes for positions and pieces of lots for lines that are reserved in one step.

    ``in_service``: how many that the plan gets stand in a set in service, and are none of these.
    """

    tubes: Sequence[tuple[Slot, Tube]]
    parts: Sequence[Taking]
    in_service: int = 0

    @property
    def seen(self) -> str:
        """All of it in words, as the form carries it."""
        tubes = (f"{slot.chassis.tag} {slot.position.mark}: {tube_words(tube)}" for slot, tube in self.tubes)
        parts = (f"{line.chassis.tag} {line.need}: {count} of {lot.tag}" for line, lot, count in self.parts)
        return BETWEEN.join((*tubes, *parts))


def proposed(plan: Plan, found: Allotment) -> Proposed:
    """What of the assignment is reserved for a plan in one step.

    What is untested stays out, and so do parts of a lot whose number is a guess, tubes of sets in service, and
    relatives and substitutes that nobody approved there: each of those is decided on its own line.
    """
    held, deal = found.stock, found.parts
    tubes = [
        (slot, held.tubes[int(taken)])
        for number, (slot, taken) in enumerate(zip(found.slots, found.taken, strict=True))
        if slot.plan.pk == plan.pk
        and taken >= 0
        and not held.untested[taken]
        and int(taken) not in held.sits
        and found.is_settled(slot, number)
    ]
    parts = [
        taking
        for number, line in enumerate(deal.lines)
        if line.plan.pk == plan.pk
        for taking in dealt_to(deal, number)
        if not taking[1].to_count
    ]
    mine = [int(taken) for slot, taken in zip(found.slots, found.taken, strict=True) if slot.plan.pk == plan.pk]
    return Proposed(tubes, parts, sum(taken in held.sits for taken in mine))


def dealt_to(deal: Deal, number: int) -> list[Taking]:
    """The pieces of lots that a line of parts gets."""
    row = enumerate(deal.taken[number].tolist())
    return [(deal.lines[number], deal.lots[lot], count) for lot, count in row if count]


def lots_words(parts: Iterable[Taking]) -> str:
    """Pieces of lots that are proposed."""
    return BETWEEN.join(f"{count} of {lot.tag}" for _, lot, count in parts)


def changed(seen: str | None, now: str) -> str:
    """What to say where a page showed something else than is proposed now; empty where it showed just that.

    ``seen``: as it came back with the form; None: it did not.
    """
    if seen == now:
        return ""
    again = "Nothing was reserved; look at it and press again."
    if not seen:
        return f"What the page showed did not come with it. {again}"
    was, new = seen.split(BETWEEN), now.split(BETWEEN) if now else []
    gone = _named([one for one in was if one not in new])
    came = _named([one for one in new if one not in was])
    told = f"no longer {gone}" if gone else ""
    told += f"{', but ' if gone and came else ''}{came}"
    return f"What is proposed has changed since the page was shown: now {told or 'in another order'}. {again}"


def _named(texts: Sequence[str]) -> str:
    more = f" and {len(texts) - MOST_TOLD} more" if len(texts) > MOST_TOLD else ""
    return f"{BETWEEN.join(texts[:MOST_TOLD])}{more}"
