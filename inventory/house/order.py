"""An order that is the same on every database: by code points, not by the alphabet that a database was set up with."""

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.db import connection, models
from django.db.models import Case, F, IntegerField, Q, Value, When
from django.db.models.functions import Collate, Length, Lower, NullIf

FEW = 12  # choices of a column whose own order counts, as good, untested, weak, dud


def _collation() -> str:
    return "C" if connection.vendor == "postgresql" else "BINARY"


def by_code_points(*paths: str) -> list[Any]:
    """What to order a queryset by. Tags go by length first, so that T-10000 comes after T-9999."""
    order: list[Any] = []
    for path in paths:
        if path.split("__")[-1] == "tag":
            order.append(Length(path))
        order.append(Collate(F(path), _collation()))
    return order


@dataclass(frozen=True)
class Order:
    """A way in which a list can stand: what by, and what its way back is called. What is empty comes last both ways."""

    by: tuple[Any, ...]
    back: str = "backwards"

    def terms(self, back: bool = False) -> list[Any]:
        """What to order a queryset by."""
        return [one.desc(nulls_last=True) if back else one.asc(nulls_last=True) for one in self.by]


def texts(path: Any, *, numbered: bool = False) -> Order:
    """By a text, whatever the case of its plain letters. ``numbered``: by length first, as tags and own numbers go."""
    text = F(path) if isinstance(path, str) else path
    filled = NullIf(text, Value(""))
    same_everywhere = Lower(Collate(filled, _collation()))
    return Order((Length(filled), same_everywhere) if numbered else (same_everywhere,))


def yes_or_no(condition: Q) -> Order:
    """By whether a condition holds: those of which it does first."""
    return Order((Case(When(condition, then=Value(0)), default=Value(1), output_field=IntegerField()),))


def order_at(model: type[models.Model], path: str, beside: Any = None) -> Order | None:
    """How rows of a model stand in order by what a path leads to; None where it leads to no single value.

    ``beside``: columns that a queryset adds, by name.
    """
    field = (beside or {}).get(path) or _field_at(model, path)
    if field is None or field.is_relation:
        return None
    if path.split("__")[-1] == "tag":
        return texts(path, numbered=True)
    choices = [value for value, _ in getattr(field, "flatchoices", ()) if value != ""]
    if 0 < len(choices) <= FEW:
        whens = [When(**{path: value}, then=Value(rank)) for rank, value in enumerate(choices)]
        return Order((Case(*whens, output_field=IntegerField()),))
    if isinstance(field, (models.CharField, models.TextField)):
        return texts(path)
    dated = isinstance(field, (models.DateField, models.TimeField))
    return Order((F(path),), "latest first" if dated else "most first")


def _field_at(model: Any, path: str) -> Any:
    field = None
    try:
        for part in path.split("__"):
            field = model._meta.get_field(part)
            model = field.related_model if field.is_relation else None
    except (FieldDoesNotExist, AttributeError):
        return None
    return field
