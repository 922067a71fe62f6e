"""What belongs together and would be parted: named before it is, and asked about by whatever parts it."""

from collections.abc import Sequence

from inventory.holdings.models import Item
from inventory.house.concerns import claims_on, mates_of, mates_of_many

NAMED = 3  # things that a warning names


def left_behind(item: Item) -> str:
    """A warning that names what belongs with a thing that is about to go alone; empty where nothing does."""
    mates = mates_of(item)
    return (
        f"It belongs together with {'; '.join(mates)}. Move, lend or sell them together, or write down why not."
        if mates
        else ""
    )


def before_it_leaves(item: Item) -> str:
    """What is asked before a thing is lent or parted with: what belongs with it, and what counts on it."""
    claims = claims_on(item)
    counted = f"It is {'; '.join(claims)}. Keep it, release it there, or write down why not." if claims else ""
    return " ".join(text for text in (left_behind(item), counted) if text)


def left_behind_of(items: Sequence[Item]) -> str:
    """As ``left_behind``, for things that are about to go together: what belongs with them and is not among them."""
    tags = {item.pk: item.tag for item in items}
    told = []
    for key, mates in mates_of_many(items).items():
        more = f", and {len(mates) - NAMED} more" if len(mates) > NAMED else ""
        told.append(f"{tags[key]} with {', '.join(mates[:NAMED])}{more}")
    if len(told) > NAMED:
        told[NAMED:] = [f"and {len(told) - NAMED} more of these things with others"]
    return f"These belong together: {'; '.join(told)}. Move them together, or write down why not." if told else ""
