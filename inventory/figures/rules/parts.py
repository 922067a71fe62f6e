"""Parts of a whole: each with its name and count, what is not known as a part of its own; they add up to the whole."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

Where = tuple[tuple[str, str], ...]  # names and values that narrow a list to a part


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a whole. ``where`` narrows the list of the whole to it; ``unknown``: what is not known of its things;
    ``gathered``: how many parts were put together in it; ``below``: the number of a place with places inside it.
    """

    name: str
    count: int
    where: Where = ()
    unknown: bool = False
    gathered: int = 0
    below: int | None = None


def largest_first(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Parts by their count, then their name; what is not known comes last. Empty ones are left out."""
    return tuple(sorted((one for one in parts if one.count), key=lambda one: (one.unknown, -one.count, one.name)))


def gathered(parts: Sequence[Part], most: int, others: Callable[[Sequence[Part]], Where] = lambda _: ()) -> list[Part]:
    """At most ``most`` known parts, the last of which holds all that have no room; what is not known stays apart.

    ``others`` gives what narrows the list to that part, from the parts that it does not hold.
    """
    known = [one for one in parts if not one.unknown]
    unknown = [one for one in parts if one.unknown]
    if len(known) <= most:
        return [*known, *unknown]
    kept, rest = known[: most - 1], known[most - 1 :]
    together = Part(f"{len(rest)} others", sum(one.count for one in rest), others(kept), gathered=len(rest))
    return [*kept, together, *unknown]


def under(
    counts: Mapping[int, int], parent_of: Mapping[int, int | None], top: int | None = None
) -> tuple[dict[int, int], int]:
    """How much lies in each place directly inside ``top`` (None: the topmost ones) and below it; and how much lies
    directly in ``top``. What lies elsewhere is left out.
    """
    found: dict[int, int] = {}
    directly = 0
    for place, count in counts.items():
        if place == top:
            directly += count
            continue
        at, parent = place, parent_of.get(place)
        while parent is not None and parent != top:
            at, parent = parent, parent_of.get(parent)
        if parent == top:
            found[at] = found.get(at, 0) + count
    return found, directly
