"""What the archive holds: one spec a model. Fields are the model's own, so a new column goes out without a word here.

``key`` names the fields by which other lines refer to a row; ``numbered`` rows have none, so they are counted.
``words`` and ``then`` give the order of the lines: texts by their code points, whatever the database's own alphabet,
then dates and the order of entry. Rows stand after everything that they refer to.
"""

from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import models
from django.db.models import Q, QuerySet

from inventory.holdings.models import (
    BoxPrint,
    Fact,
    HazardMark,
    Item,
    Movement,
    Paper,
    PartLot,
    Place,
    StockTake,
    StockTakeLine,
    TagSeries,
    Tube,
    Want,
)
from inventory.lists.models import ImportMade, ImportMapping, ImportRow, ImportRun
from inventory.lists.queries.order import by_code_points
from inventory.pairing.models import (
    Companion,
    CompanionCheck,
    CompanionKind,
    Disturbance,
    Neutralization,
    OnAirRecord,
)
from inventory.running.models import (
    Care,
    CareDone,
    EarlierHours,
    HoursCorrection,
    Instrument,
    MatchedSet,
    MatchedTube,
    Meter,
    MeterReading,
    Run,
    TubeTest,
    TypeMinimum,
)
from inventory.sets.models import (
    Approval,
    Bay,
    Chassis,
    Fitting,
    MatedPart,
    MatedSet,
    PlugInUnit,
    Position,
    Seating,
    SetModel,
    UnitModel,
)
from tubes.models import KEEPER, TABLE, Basing, Designation, JanMaker, Limit, Rating, RatingSource, Source, TubeType

ModelClass = type[models.Model]
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


@dataclass(frozen=True)
class Spec:
    """How the rows of one model stand in the archive."""

    member: str
    model: ModelClass
    key: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    then: tuple[str, ...] = ("pk",)
    numbered: bool = False
    only: Q | None = None
    named_only: bool = False  # rows of the reference tables go out where something of the keeper's names them
    inside: tuple[tuple[str, str, ModelClass], ...] = ()  # (JSON field, name in it, whose rows it lists)

    @property
    def file(self) -> str:
        return f"data/{self.member}.jsonl"

    @property
    def history(self) -> ModelClass | None:
        """The model of its history rows, if it keeps any."""
        manager = getattr(self.model, "history", None)
        return manager.model if manager is not None else None

    @property
    def fields(self) -> list[Any]:
        """The columns that stand in a line: all but a number that only this database knows."""
        return [f for f in self.model._meta.concrete_fields if not isinstance(f, models.AutoField)]

    @property
    def history_fields(self) -> list[Any]:
        skip = {"history_id", self.model._meta.pk.attname, self.model._meta.pk.name}
        history = self.history
        return [f for f in history._meta.concrete_fields if f.name not in skip] if history else []

    @property
    def many(self) -> list[Any]:
        return list(self.model._meta.many_to_many)

    def kept_many(self, field: Any) -> Any:
        """The model that holds what a list of rows (``fits``) was at each history row, or None."""
        manager = getattr(self.history, field.name, None)
        return manager.model if manager is not None else None


MADE_BESIDES: tuple[tuple[str, str, ModelClass], ...] = (  # what an undone list takes away besides its things
    ("counts", "made_places", Place),
    ("counts", "made_set_models", SetModel),
    ("counts", "made_unit_models", UnitModel),
    ("counts", "made_companion_kinds", CompanionKind),
)
SPECS: tuple[Spec, ...] = (
    Spec("sources", Source, ("key",), ("key",), named_only=True),
    Spec("types", TubeType, ("name",), ("name",), named_only=True),
    Spec("maker_codes", JanMaker, ("code",), ("code",), only=Q(origin=KEEPER)),
    Spec(
        "designations", Designation, ("type", "scheme", "designation"),
        ("type__name", "scheme", "designation"), only=Q(origin=KEEPER),
    ),
    Spec("ratings", Rating, ("type",), ("type__name",), only=Q(origin=KEEPER)),
    Spec(
        "rating_sources", RatingSource, ("rating", "field", "source"),
        ("rating__type__name", "field", "source__key"), only=Q(rating__origin=KEEPER),
    ),
    Spec("limits", Limit, ("key",), ("key",), only=Q(origin=KEEPER)),
    Spec("basings", Basing, ("code",), ("code",), only=Q(origin=KEEPER)),
    Spec("places", Place, ("path",), ("path",)),
    Spec("tag_series", TagSeries, ("prefix",), ("prefix",)),
    Spec("items", Item, ("tag",), ("tag",)),
    Spec("tubes", Tube, ("item",), ("item__tag",)),
    Spec("part_lots", PartLot, ("item",), ("item__tag",)),
    Spec("movements", Movement, then=("on", "pk")),
    Spec("set_models", SetModel, ("name",), ("name",)),
    Spec("positions", Position, ("set_model", "mark"), ("set_model__name",)),
    Spec("approvals", Approval, words=("position__set_model__name", "position__mark")),
    Spec("bays", Bay, ("set_model", "mark"), ("set_model__name",)),
    Spec("unit_models", UnitModel, ("name",), ("name",)),
    Spec("chassis", Chassis, ("item",), ("item__tag",)),
    Spec("units", PlugInUnit, ("item",), ("item__tag",)),
    Spec("fittings", Fitting, then=("since", "pk")),
    Spec("seatings", Seating, then=("since", "pk")),
    Spec("mated_sets", MatedSet, ("name",), ("name",)),
    Spec("mated_parts", MatedPart, ("mated_set", "name"), ("mated_set__name", "name")),
    Spec("neutralizations", Neutralization, then=("on", "pk")),
    Spec("disturbances", Disturbance, then=("on", "pk")),
    Spec("on_air_records", OnAirRecord, then=("on", "pk")),
    Spec("companion_kinds", CompanionKind, ("set_model", "name"), ("set_model__name", "name")),
    Spec("companions", Companion, ("item",), ("item__tag",)),
    Spec("comparisons", CompanionCheck, then=("on", "pk")),
    Spec("runs", Run, then=("on", "pk")),
    Spec("meters", Meter, numbered=True),
    Spec("meter_readings", MeterReading, then=("on", "pk")),
    Spec("earlier_hours", EarlierHours, ("tube",), ("tube__item__tag",)),
    Spec("hours_corrections", HoursCorrection, then=("on", "pk")),
    Spec("instruments", Instrument, ("name",), ("name",)),
    Spec(
        "type_minimums", TypeMinimum, ("instrument", "type", "section"), ("instrument__name", "type__name", "section")
    ),
    Spec("tube_tests", TubeTest, numbered=True),
    Spec("matched_sets", MatchedSet, numbered=True),
    Spec("matched_tubes", MatchedTube, ("matched_set", "tube"), then=("matched_set_id", "pk")),
    Spec("cares", Care, numbered=True),
    Spec("care_done", CareDone, then=("on", "pk")),
    Spec("hazards", HazardMark, ("item", "hazard"), ("item__tag", "hazard")),
    Spec("facts", Fact, words=("item__tag",)),
    Spec("wants", Want, words=("thing",)),
    Spec("papers", Paper, ("item", "digest"), ("item__tag",)),
    Spec("stock_takes", StockTake, numbered=True),
    Spec("stock_take_lines", StockTakeLine, ("stock_take", "item"), then=("stock_take_id", "pk")),
    Spec("box_prints", BoxPrint, ("place",), ("place__path",)),
    Spec("import_mappings", ImportMapping, ("name",), ("name",)),
    Spec("import_runs", ImportRun, numbered=True, inside=MADE_BESIDES),
    Spec("import_rows", ImportRow, ("run", "row"), then=("run_id", "row", "pk")),
    Spec("import_made", ImportMade, ("item",), then=("row__run_id", "row__row", "pk")),
)  # fmt: skip

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
