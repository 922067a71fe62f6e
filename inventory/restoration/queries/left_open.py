"""What a plan leaves open as it is finished: how its own sets stand, and nothing of the stock."""

from inventory.restoration.models import Plan
from inventory.restoration.queries.cover import Cover
from inventory.restoration.queries.lines import BAY, OWN, TUBE, WEAK, Line
from inventory.restoration.rules.words import (
    DONE,
    IN_PLACE,
    LEFT_ALONE,
    SETTLE_BEFORE_POWER,
    SETTLE_FIRST,
    TO_JUDGE,
    WAITING,
)

DANGEROUS = (SETTLE_BEFORE_POWER, SETTLE_FIRST)


def left_open(cover: Cover) -> str:
    """Every line of a plan that is not settled, one in a row of text; ``Plan.NOTHING`` where none is."""
    several = len(cover.sets) > 1
    told = [
        f"{f'{line.chassis.tag}: ' if several else ''}{line.need}: {_how(line)}"
        for line in cover.lines
        if line.status not in (IN_PLACE, DONE, LEFT_ALONE)
    ]
    return "\n".join(" ".join(text.split()) for text in told) or Plan.NOTHING


def dangerous(cover: Cover) -> list[str]:
    """What has to be settled before power and is not, in words."""
    return [line.need for line in cover.lines if line.status in DANGEROUS]


def _how(line: Line) -> str:
    """How a line stands, in a sentence."""
    if line.kind == TUBE and line.slot is not None:
        return line.slot.why
    if line.kind in (OWN, WEAK) and line.status not in (*DANGEROUS, TO_JUDGE, WAITING):
        return "not done."
    first = line.reasons[0] if line.reasons else f"{line.status}."
    return f"{first.partition('.')[0]}." if line.kind == BAY else first
