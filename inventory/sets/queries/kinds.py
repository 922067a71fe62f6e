"""Types of tubes owned here by their kind."""

from inventory.holdings.models import Tube
from tubes.queries.judging import court


def kind_of(name: str) -> str:
    """The kind of a type by its figures, those taken from a relative too; empty where it is not known."""
    known = court().figures.get(name)
    return str(known.word("kind")) if known else ""


def owned_of_kind(kind: str) -> list[str]:
    """Names of types that some tube of the register is of, and whose kind is this; empty: not known (one query, and
    those of tube knowledge).
    """
    names = Tube.objects.filter(type__isnull=False).order_by().values_list("type__name", flat=True).distinct()
    return [name for name in names if kind_of(name) == kind]
