"""How many parts were put in for lines of plans, by the work that names them: so many fewer are asked for still."""

from collections import Counter
from collections.abc import Iterable, Mapping

from inventory.holdings.rules.part_kinds import falls_short
from inventory.restoration.models import Requirement, Work


def put_in_for(rows: Iterable[Requirement]) -> Mapping[int, int]:
    """By key of a line (one query). Parts of a kind that may not serve a line do not count for it; those of a lot that
    bears no kind do: whoever recorded them named the line.
    """
    asks = {row.pk: row.type for row in rows}
    works = Work.objects.filter(requirement__in=list(asks), struck="", used__gt=0, put_in__isnull=False)
    told: Counter[int] = Counter()
    for work in works.select_related("put_in__partlot__type"):
        wanted, lot = asks[work.requirement_id or 0], getattr(work.put_in, "partlot", None)
        if lot is None or (wanted and lot.type and falls_short(wanted.figures, lot.type.figures)):
            continue
        told[work.requirement_id or 0] += work.used or 0
    return told
