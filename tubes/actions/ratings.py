"""Figures of the keeper's own, each with the text that it rests on."""

from typing import Any

from django.db import transaction

from inventory.house.writing import refuse, write
from tubes.models import KEEPER, Rating, RatingSource, Source
from tubes.rules.sources import GRADES, STATED, grade_of
from tubes.rules.tables import RATED_FIELDS


@transaction.atomic
def save_rating(rating: Rating, *, source: Source, grade: str = STATED, by: Any, reason: str = "") -> Rating:
    """Write figures of the keeper's own; new and changed ones rest on ``source``. Empty: the tables' figure."""
    filled = [name for name in RATED_FIELDS if getattr(rating, name) not in (None, "")]
    if not filled:
        raise refuse("__all__", "Not one figure is given.")
    before = Rating.objects.filter(pk=rating.pk).first()
    rating.origin = KEEPER
    write(rating, by=by, reason=reason)
    if source.origin != KEEPER:  # surer than its text no figure is, nor than its writer says
        grade = max(grade, grade_of(source.key), key=GRADES.index)
    standing = {row.field: row for row in rating.sources.all()}
    for name, row in standing.items():
        if name not in filled:
            row.delete()
    for name in filled:
        unchanged = before is not None and getattr(before, name) == getattr(rating, name)
        if name in standing and unchanged:
            continue  # a figure that stays keeps the text that it rests on
        row = standing.get(name) or RatingSource(rating=rating, field=name)
        row.source, row.grade = source, grade
        write(row, by=by)
    return rating
