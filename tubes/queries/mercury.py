"""Which types hold mercury: by their kind and note in the tables, or a caution that names it."""

from collections.abc import Iterable

from tubes.models import Rating, TubeType
from tubes.queries import Knowledge, knowledge
from tubes.rules.figures import MERCURY, filling_of
from tubes.rules.relations import is_unchecked


def mercury_among(names: Iterable[str], known: Knowledge | None = None) -> frozenset[str]:
    """Those of some types that are mercury rectifiers; what the same tube under another name states counts for it.

    Two queries, and those of ``knowledge`` where it is not at hand.
    """
    asked = set(names) - {""}
    if not asked:
        return frozenset()
    kin = (known or knowledge()).kin
    alike = {name: kin.same_as(name) | {name} for name in asked}
    every = set().union(*alike.values())
    rows: dict[str, tuple[str, str]] = {}
    for row in Rating.objects.filter(type__name__in=every).select_related("type").order_by("-origin"):
        if not is_unchecked(row.note):
            kind, note = rows.get(row.type.name, ("", ""))
            rows[row.type.name] = (row.kind or kind, f"{row.note}; {note}")
    types = TubeType.objects.filter(name__in=every)
    holds = {row.name for row in types if filling_of(*rows.get(row.name, ("", "")), row.caution) == MERCURY}
    return frozenset(name for name, others in alike.items() if others & holds)
