"""What a text of price evidence names: a set model, a plug-in unit, a book or coil set of a set model, or a tube type.

Names of equipment come before numbers in them, and must be written whole: "Petrel 40" is no tube 40; only the very name
of a type comes first. What belongs with a set is called by its kind and the model, "calibration book of Plumbline A".
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.pairing.models import CompanionKind
from inventory.sets.models import SetModel, UnitModel
from tubes.models import TubeType
from tubes.queries import Knowledge, knowledge, type_named

SET, UNIT, COMPANION, TYPE = "set_model", "unit_model", "companion_kind", "type"
#: The field of what a row is.
WHAT_OF: dict[type, str] = {SetModel: SET, UnitModel: UNIT, CompanionKind: COMPANION}


@dataclass(frozen=True, slots=True)
class Named:
    """What a text names: ``field`` of ``SUBJECTS`` in the models, and its row there."""

    field: str
    row: Any

    @property
    def name(self) -> str:
        return str(self.row)


def named_of(texts: Sequence[str]) -> dict[str, Named]:
    """What each text names alone; those that name nothing, or several types, are left out (four queries)."""
    equipment, known = _equipment(), knowledge()
    asked = dict.fromkeys(texts)
    found = {text: one for text in asked if (one := _among(equipment, text, known))}
    types = _types([text for text in asked if text not in found], known)
    return found | {text: Named(TYPE, row) for text, row in types.items()}


def equipment_named(text: str, known: Knowledge) -> Named | None:
    """The set model, plug-in unit or kind of companion of that name (three queries)."""
    return _among(_equipment(), text, known)


def _among(equipment: Mapping[str, Named], text: str, known: Knowledge) -> Named | None:
    return None if text.strip() in known.types else equipment.get(_key(text))


def _equipment() -> dict[str, Named]:
    rows: dict[str, Named] = {}
    companions: Any = CompanionKind.objects.select_related("set_model")
    of: tuple[tuple[str, Any], ...] = (
        (COMPANION, companions), (UNIT, UnitModel.objects.all()), (SET, SetModel.objects.all())
    )  # fmt: skip
    for field, known in of:  # a set before what it takes, where both bear one name
        rows |= {_key(str(row)): Named(field, row) for row in known}
    return rows


def _key(text: str) -> str:
    return " ".join(text.casefold().split())


def _types(texts: Sequence[str], known: Knowledge) -> dict[str, TubeType]:
    names = {}
    for text in texts:
        try:
            names[text] = type_named(text, known)
        except ValueError:
            continue
    rows = {row.name: row for row in TubeType.objects.filter(name__in=set(names.values()))}
    return {text: rows[name] for text, name in names.items() if name in rows}
