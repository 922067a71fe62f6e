"""What the register of hazards must know of weak parts: the capacitors of a set together, and what their words name."""

from collections import defaultdict

from inventory.holdings.rules.hazard_grounds import Capacitor, Ground, is_bleeder, of_bank, of_words
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
    bank = [
        Capacitor(part.type.value / 1e6, part.type.volts, part.quantity, part.mark)
        for part in parts
        if part.type and part.type.kind == "capacitor" and part.type.value and part.type.volts
    ]
    bleeders = [
        part.type.value for part in parts
        if part.type and part.type.kind == "resistor" and part.type.value and is_bleeder(part.words)
    ]  # fmt: skip
    return [*told, *of_bank(bank, bleeders, whose)]
