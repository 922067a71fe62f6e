"""What the register of hazards must know of weak parts: the capacitors of a set together, and what their words name."""

from collections import defaultdict
from dataclasses import replace

from inventory.holdings.rules.hazard_grounds import (
    Capacitor,
    Ground,
    capacitors_told,
    held_most,
    is_bleeder,
    of_bank,
    of_words,
    unreckoned,
)
from inventory.holdings.rules.part_text import PartTextFault, read_part
from inventory.restoration.models import WeakPart
from inventory.sets.models import Chassis


def grounds_of_weak_parts() -> dict[int, list[Ground]]:
    """By key of a set the hazards that the weak parts of its model bear (two queries)."""
    of_model: dict[int, list[WeakPart]] = defaultdict(list)
    for part in WeakPart.objects.select_related("set_model", "type"):
        of_model[part.set_model_id].append(part)
    by_model = {model: _grounds(parts) for model, parts in of_model.items()}
    sets = Chassis.objects.filter(item__gone_on__isnull=True).values_list("pk", "model_id")
    return {key: by_model[model] for key, model in sets if by_model.get(model)}


def _grounds(parts: list[WeakPart]) -> list[Ground]:
    whose = str(parts[0].set_model)
    told = []
    for part in parts:
        made = f"{part.type.construction} {part.type.kind} {part.type.words}" if part.type else ""
        for ground in of_words(f"{part.words} {part.why}\n{made}".strip()):
            told.append(Ground(ground.hazard, f"weak part {part} of {whose}: {ground.text}", ground.source))
        if not part.type:
            told += [replace(one, text=f"weak part {part} of {whose}: {one.text}") for one in unreckoned(part.words)]
    bank = [one for part in parts for one in _capacitors(part)]
    bleeders = [ohm for part in parts if is_bleeder(f"{part.words}\n{part.why}") if (ohm := _ohm(part))]
    return [*told, *of_bank(bank, bleeders, whose)]


def _capacitors(part: WeakPart) -> list[Capacitor]:
    """The capacitors of a weak part by its kind, or by its words where those hold more or it has no kind."""
    kind = part.type
    if kind and kind.kind != "capacitor":
        return []
    typed = Capacitor(kind.value / 1e6, kind.volts) if kind and kind.value and kind.volts else None
    return [
        Capacitor(one.uf, one.volts, part.quantity, part.mark or one.said)
        for one in held_most(typed, capacitors_told(part.words))
    ]


def _ohm(part: WeakPart) -> float | None:
    """What a weak resistor has in ohm, by its kind or its words; None where nothing tells it."""
    if part.type:
        return part.type.value if part.type.kind == "resistor" else None
    try:
        told = read_part(part.words).figures
    except PartTextFault:
        return None
    return told.value if told.kind == "resistor" else None
