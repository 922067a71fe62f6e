"""What the register holds that a list may name again: models, kinds of companions, serials."""

from dataclasses import dataclass, field
from typing import Any

from inventory.holdings.models import Fact, PartLot
from inventory.holdings.rules.facts import SERIAL
from inventory.lists.actions.places import fold
from inventory.lists.rules import fields as f
from inventory.pairing.actions import save_companion_kind
from inventory.pairing.models import Companion, CompanionKind
from inventory.sets.actions import save_set_model, save_unit_model
from inventory.sets.models import Chassis, PlugInUnit, SetModel, UnitModel

OFFERED = 60  # set models to choose from
MODEL = "model:"  # before the name of one that is chosen: its number is another in another house


@dataclass(slots=True)
class Named:
    """A model, or a kind of companion; ``pk`` is None until it is written."""

    name: str
    pk: int | None = None
    above: "Named | None" = None


@dataclass
class Models:
    """All models of one sort by their names in any case."""

    sort: Any
    by_name: dict[str, Named] = field(default_factory=dict)
    made: list[int] = field(default_factory=list)

    @classmethod
    def load(cls, sort: Any) -> "Models":
        models = cls(sort)
        for pk, name in sort.objects.order_by("-pk").values_list("pk", "name"):
            models.by_name[fold(name)] = Named(name, pk)
        return models

    def find(self, text: str) -> tuple[Named, bool]:
        """(model, whether it is new)."""
        known = self.by_name.get(fold(text))
        if known:
            return known, False
        made = self.by_name[fold(text)] = Named(" ".join(text.split()))
        return made, True

    def chosen(self, key: str) -> Named | None:
        """The model that a key of ``choices`` names, if it is still called so."""
        found = self.by_name.get(fold(key.removeprefix(MODEL))) if key.startswith(MODEL) else None
        return found if found and found.pk else None

    def choices(self) -> list[tuple[str, str]]:
        here = sorted((one for one in self.by_name.values() if one.pk), key=lambda one: fold(one.name))
        return [(f"{MODEL}{one.name}", one.name) for one in here[:OFFERED]]

    def write(self, model: Named, *, by: Any) -> int:
        """The key of a model, written now if it is new: what the list does not say of it is left open."""
        if model.pk is None:
            if self.sort is SetModel:
                row: Any = save_set_model(SetModel(name=model.name, kind="other", neutralizing=SetModel.NONE), by=by)
            else:
                row = save_unit_model(UnitModel(name=model.name), by=by)
            model.pk = int(row.pk)
            self.made.append(model.pk)
        return model.pk


@dataclass
class CompanionKinds:
    """All kinds of companions, by their set model and name in any case."""

    by_name: dict[tuple[str, str], Named] = field(default_factory=dict)
    made: list[int] = field(default_factory=list)

    @classmethod
    def load(cls) -> "CompanionKinds":
        kinds = cls()
        for pk, name, model, model_pk in CompanionKind.objects.values_list(
            "pk", "name", "set_model__name", "set_model"
        ):
            kinds.by_name[fold(model), fold(name)] = Named(name, pk, Named(model, model_pk))
        return kinds

    def find(self, model: Named, name: str) -> Named:
        key = (fold(model.name), fold(name))
        if key not in self.by_name:
            self.by_name[key] = Named(" ".join(name.split()), None, model)
        return self.by_name[key]

    def write(self, kind: Named, models: Models, *, by: Any) -> int:
        if kind.pk is None:
            assert kind.above is not None
            row = CompanionKind(name=kind.name, set_model_id=models.write(kind.above, by=by))
            kind.pk = int(save_companion_kind(row, by=by).pk)
            self.made.append(kind.pk)
        return kind.pk


@dataclass
class Serials:
    """Who bears which serial: in the register, asked for when the first such row comes, and in the list so far."""

    here: dict[tuple[str, str, str], str] = field(default_factory=dict)
    listed: dict[tuple[str, str, str], int] = field(default_factory=dict)
    _loaded: set[str] = field(default_factory=set)
    _borne: dict[str, set[str]] | None = None  # set models by the serials of their chassis, once asked for

    def claim(self, kind: str, name: str, serial: str, row: int) -> str:
        """Where that serial of that model is already (in words), or nothing; the row is remembered."""
        self._load(kind)
        key = (kind, fold(name), fold(serial))
        if key in self.here:
            return f"is in the register as {self.here[key]}"
        first = self.listed.setdefault(key, row)
        return f"stands on row {first} of the list too" if first != row else ""

    def models_bearing(self, serial: str) -> set[str]:
        """Names of set models of which a chassis in the register bears the serial."""
        if self._borne is None:
            self._borne = {}
            for name, borne in Chassis.objects.exclude(serial="").values_list("model__name", "serial"):
                self._borne.setdefault(fold(borne), set()).add(name)
        return set(self._borne.get(fold(serial), ()))

    def _load(self, kind: str) -> None:
        if kind in self._loaded:
            return
        self._loaded.add(kind)
        sorts: dict[str, Any] = {f.CHASSIS: Chassis, f.UNITS: PlugInUnit}
        if kind in sorts:
            rows = sorts[kind].objects.exclude(serial="").values_list("model__name", "serial", "item__tag")
        elif kind == f.COMPANIONS:
            named = Companion.objects.exclude(serial="").values_list(
                "kind__set_model__name", "kind__name", "serial", "item__tag"
            )
            rows = ((f"{model} {name}", serial, tag) for model, name, serial, tag in named)
        else:
            name = "item__tube__marked" if kind == f.TUBES else "item__partlot__name"
            kept = Fact.objects.filter(about=SERIAL, struck="", **{f"{name}__isnull": False})
            rows = kept.values_list(name, "text", "item__tag")
            if kind != f.TUBES:
                pieces = PartLot.objects.exclude(serial="").values_list("name", "serial", "item__tag")
                rows = [*rows, *pieces]
        for name, serial, tag in rows:
            self.here.setdefault((kind, fold(name), fold(serial)), tag)
