"""What the archive holds: a spec for every model, as each area declares them, and how its rows go out.

Rows stand after everything that they refer to: the areas from low to high, and within an area as it declares them.
"""

from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import models
from django.db.models import Q, QuerySet

from inventory.house.archived import ModelClass, Spec
from inventory.house.areas import areas
from inventory.house.order import by_code_points
from tubes.models import KEEPER, TABLE, RatingSource, TubeType

KINDS: tuple[tuple[type[models.Field], str], ...] = (
    (models.DateTimeField, "moment"),
    (models.DateField, "day"),
    (models.TimeField, "clock"),
    (models.BooleanField, "yes"),
    (models.FloatField, "number"),
    (models.IntegerField, "whole"),
    (models.DecimalField, "exact"),
    (models.JSONField, "json"),
)
SPECS: tuple[Spec, ...] = tuple(spec for area in areas().values() for spec in area.archive)
BY_MODEL = {spec.model: spec for spec in SPECS}


def root_of(model: ModelClass) -> ModelClass:
    """The model whose numbers a row bears: a tube, a chassis and so on bear that of their row in the register."""
    pk = model._meta.pk
    return root_of(pk.related_model) if pk.is_relation else model  # type: ignore[arg-type]


def uncovered() -> list[str]:
    """Models of the project that no spec names, nor any as its list of rows; ``area.model``, in order.

    Every area is asked, also one that nobody thought of here: what is not in the archive is lost. The history of a
    model goes out with it.
    """
    known: set[Any] = {spec.model for spec in SPECS}
    known |= {model for area in areas().values() for model in area.not_archived}
    for spec in SPECS:
        for field in spec.many:
            known |= {field.remote_field.through, spec.kept_many(field)}
    own = [config for config in apps.get_app_configs() if config.name.split(".")[0] in ("tubes", "inventory")]
    models = [model for config in own for model in config.get_models(include_auto_created=True)]
    plain = [model for model in models if not hasattr(model, "instance_type")]  # what history rows have
    return sorted(model._meta.label_lower for model in plain if model not in known)


def is_person(model: Any) -> bool:
    return model._meta.label == settings.AUTH_USER_MODEL


def kind_of(field: Any) -> str:
    """Which kind of value of ``rules.lines`` a column holds."""
    return next((kind for of, kind in KINDS if isinstance(field, of)), "text")


def rows_of(spec: Spec) -> QuerySet[Any]:
    """The rows of a spec that go out, in their order."""
    rows = spec.model._base_manager.all()
    if spec.only is not None:
        rows = rows.filter(spec.only)
    if spec.named_only:
        rows = rows.filter(Q(origin=KEEPER) | Q(pk__in=named_rows(spec.model)) | Q(pk__in=_touched(spec.model)))
    return rows.order_by(*by_code_points(*spec.words), *spec.then)


def named_rows(model: ModelClass) -> list[int]:
    """Numbers of the rows that rows which go out name, their histories included."""
    found: set[int] = set()
    for spec in SPECS:
        plain = spec.model._base_manager.all() if spec.only is None else spec.model._base_manager.filter(spec.only)
        sources = [(plain, spec.fields)]
        if spec.history:
            sources.append((spec.history._base_manager.all(), spec.history_fields))
        for rows, fields in sources:
            for field in fields:
                if field.is_relation and field.related_model is model:
                    found |= set(rows.order_by().values_list(field.attname, flat=True).distinct())
    return sorted(found - {None})  # type: ignore[type-var]


def _touched(model: ModelClass) -> list[int]:
    """Rows of the reference tables that the keeper changed: a history, or hazard words."""
    history = BY_MODEL[model].history
    found = set(history._base_manager.order_by().values_list("id", flat=True).distinct()) if history else set()
    if model is TubeType:
        found |= set(TubeType.objects.exclude(hazard="").values_list("pk", flat=True))
    return sorted(found)


def holds_something() -> str:
    """What this database holds besides the reference tables and accounts, or an empty text."""
    for spec in SPECS:
        rows = spec.model._base_manager.all()
        if any(field.name == "origin" for field in spec.fields):
            rows = rows.exclude(origin=TABLE)
        elif spec.model is RatingSource:
            rows = rows.exclude(rating__origin=TABLE)
        if rows.exists():
            return str(spec.model._meta.verbose_name_plural)
    for spec in SPECS:
        history = spec.history
        if history is not None:
            rows = history._base_manager.all()
            told = rows.exclude(origin=TABLE) if any(f.name == "origin" for f in spec.history_fields) else rows
            if told.exists():
                return f"history of {spec.model._meta.verbose_name_plural}"
    return "hazard words of tube types" if TubeType.objects.exclude(hazard="").exists() else ""
