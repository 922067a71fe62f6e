"""Which types that are owned or wanted here lack figures, by how many positions and tubes wait for them."""

from collections import Counter

from django.db.models import Count

from inventory.holdings.queries import tubes_here
from inventory.holdings.queries.wants import open_wants
from inventory.sets.models import Position
from tubes.queries.gaps import gaps_of_types
from tubes.queries.judging import court
from tubes.rules.gaps import Gap


def reference_gaps(every: bool = False) -> list[Gap]:
    """Types with what lacks of them, most positions first (three queries, and those of tube knowledge).

    ``every``: also those that nobody owns or wants here.
    """
    owned = _counted(tubes_here())
    positions = _counted(Position.objects.all())
    wanted = _counted(open_wants())
    figures = court().figures
    found = [
        Gap(name, figures[name].word("kind"), lacking, owned[name], positions[name], wanted[name])
        for name, lacking in gaps_of_types().items()
        if every or owned[name] or positions[name] or wanted[name]
    ]
    return sorted(found, key=lambda gap: gap.rank)


def _counted(rows) -> Counter[str]:  # type: ignore[no-untyped-def]
    """How many of some rows name each type."""
    counts = rows.filter(type__isnull=False).order_by().values_list("type__name").annotate(n=Count("pk"))
    return Counter(dict(counts))
