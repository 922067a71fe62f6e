"""The area as Django knows it."""

from django.apps import AppConfig


class RestorationConfig(AppConfig):
    name = "inventory.restoration"
    label = "restoration"
    verbose_name = "Restoration"

    def ready(self) -> None:
        from inventory.house.concerns import (
            register_claim,
            register_left,
            register_put_in,
            register_reliance,
        )
        from inventory.house.hazard_concerns import register_grounds
        from inventory.restoration.actions.reserving import set_left, used
        from inventory.restoration.queries.counted_on import (
            planned_parts,
            planned_units,
            planned_words,
            sets_of_plans,
        )
        from inventory.restoration.queries.hazards import grounds_of_weak_parts
        from inventory.restoration.queries.reserved import reserved, reserved_keys

        register_claim(reserved, reserved_keys)
        register_left(set_left)
        register_put_in(used)
        for answer in (planned_words, planned_parts, planned_units):
            register_reliance(answer)
        register_reliance(sets_of_plans)
        register_grounds(grounds_of_weak_parts)
