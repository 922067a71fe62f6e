"""How much of the reference tables and the keeper's own rows tells a bench what it asks for."""

from collections import Counter

from tubes.models import RatingSource
from tubes.queries.judging import Court, court
from tubes.rules.coverage import Coverage, cover
from tubes.rules.judge_parts import Conditions


def coverage(judges: Court | None = None) -> Coverage:
    """Counts over all types that are known by name (the queries of ``court``, and one)."""
    judges = judges or court()
    place = Conditions()
    grades = Counter(RatingSource.objects.order_by().values_list("grade", flat=True))
    ordered = dict(sorted(grades.items()))
    return cover(judges.figures, judges.known.kin, lambda one, other: judges.judge(one, other, place), ordered)
