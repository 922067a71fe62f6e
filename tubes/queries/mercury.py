"""Which types hold mercury or another gas: by their kind and note in the tables, or a caution that names it."""

from collections.abc import Callable, Iterable

from tubes.models import Rating, TubeType
from tubes.queries.marks import Knowledge, knowledge
from tubes.rules.figures import MERCURY, filling_of, glows
from tubes.rules.relations import is_unchecked


def mercury_among(names: Iterable[str], known: Knowledge | None = None) -> frozenset[str]:
    """Those of some types that are mercury rectifiers; what the same tube under another name states counts for it.

    Two queries, and those of ``knowledge`` where it is not at hand.
    """
    return frozenset(name for name, filled in _fillings(names, filling_of, known).items() if MERCURY in filled)


def glowing_among(names: Iterable[str], known: Knowledge | None = None) -> dict[str, str]:
    """Those of some types that are filled with gas or mercury, and with which (queries as above)."""
    found = _fillings(names, glows, known)
    return {name: next(iter(sorted(filled, reverse=True))) for name, filled in found.items() if filled}


def _fillings(
    names: Iterable[str], asked_of: Callable[[str, str, str], str], known: Knowledge | None
) -> dict[str, set[str]]:
    """What a question of kind, note and caution answers for each type under any of its names."""
    asked = set(names) - {""}
    if not asked:
        return {}
    kin = (known or knowledge()).kin
    alike = {name: kin.same_as(name) | {name} for name in asked}
    every = set().union(*alike.values())
    rows: dict[str, tuple[str, str]] = {}
    for row in Rating.objects.filter(type__name__in=every).select_related("type").order_by("-origin"):
        if not is_unchecked(row.note):
            kind, note = rows.get(row.type.name, ("", ""))
            rows[row.type.name] = (row.kind or kind, f"{row.note}; {note}")
    types = TubeType.objects.filter(name__in=every)
    held = {row.name: asked_of(*rows.get(row.name, ("", "")), row.caution) for row in types}
    return {name: {held.get(other, "") for other in others} - {""} for name, others in alike.items()}
