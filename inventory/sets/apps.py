"""The area as Django knows it."""

from django.apps import AppConfig


class SetsConfig(AppConfig):
    name = "inventory.sets"
    label = "sets"
    verbose_name = "Sets"

    def ready(self) -> None:
        from inventory.house.concerns import (
            register_carried,
            register_holder,
            register_reliance,
            register_stay,
        )
        from inventory.house.hazard_concerns import register_grounds, register_inside
        from inventory.house.words_on_parts import register_words_on_parts
        from inventory.sets.queries import kept_from_leaving, where_held_many
        from inventory.sets.queries.hazards import inside_sets, voltages_of_sets
        from inventory.sets.queries.mercury import mercury_carried
        from inventory.sets.queries.only_spare import last_spares
        from inventory.sets.queries.stand_ins import words_of_every_model

        register_holder(where_held_many)
        register_stay(kept_from_leaving)
        register_carried(mercury_carried)
        register_reliance(last_spares)
        register_inside(inside_sets)
        register_grounds(voltages_of_sets)
        register_words_on_parts(words_of_every_model)
