"""How the rows of a model stand in an archive. Each area declares its own; ``inventory.archive`` reads and writes them.

Fields are the model's own, so a new column goes out without a word anywhere. ``key`` names the fields by which other
lines refer to a row; ``numbered`` rows have none, so they are counted. ``words`` and ``then`` give the order of the
lines: texts by their code points, whatever the database's own alphabet, then dates and the order of entry.
"""

from dataclasses import dataclass
from functools import cache
from typing import Any

from django.db import models
from django.db.models import Q

ModelClass = type[models.Model]


@cache
def _history_of(model: ModelClass) -> ModelClass | None:
    """Asked for every row; the descriptor makes a class of manager each time."""
    manager = getattr(model, "history", None)
    return manager.model if manager is not None else None


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
        return _history_of(self.model)

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
