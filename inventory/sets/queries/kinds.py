"""Types of tubes owned here by their kind."""

from collections.abc import Iterable

from inventory.holdings.models import Tube
from tubes.queries.judging import court


def kinds_of(names: Iterable[str]) -> dict[str, str]:
    """The kinds of types by their figures, those taken from a relative too; empty where none is known (queries of
    tube knowledge).
    """
    known = court().figures
    return {name: known[name].word("kind") if name in known else "" for name in names}


def owned_of_kind(kind: str) -> list[str]:
    """Names of types that some tube of the register is of, and whose kind is this; empty: not known (one query, and
    those of tube knowledge).
    """
    names = Tube.objects.filter(type__isnull=False).order_by().values_list("type__name", flat=True).distinct()
    return [name for name, found in kinds_of(names).items() if found == kind]
