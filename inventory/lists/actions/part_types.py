"""The kinds of part that lots of a list are of: as its own columns say, else as its words state them in full."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from inventory.holdings.actions.parts import kind_of_columns, kind_read
from inventory.holdings.models import PartLot


@dataclass
class PartTypes:
    """Those that were asked for so far, by columns or by name and value: many lots of a list are alike."""

    known: dict[Any, int | None] = field(default_factory=dict)

    def write(self, columns: Mapping[str, Any] | None, values: Mapping[str, Any], *, by: Any) -> int | None:
        """The key of the kind of part of a lot, made where there is none yet; None where nothing states one."""
        key = tuple(sorted(columns.items())) if columns else (values["name"], values["value"])
        if key not in self.known:
            words = PartLot(name=values["name"], value=values["value"])
            kind = kind_of_columns(columns, by=by) if columns else kind_read(words, by=by)
            self.known[key] = kind.pk if kind else None
        return self.known[key]
