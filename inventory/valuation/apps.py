"""The area as Django knows it."""

from django.apps import AppConfig


class ValuationConfig(AppConfig):
    name = "inventory.valuation"
    label = "valuation"
    verbose_name = "Valuation"

    def ready(self) -> None:
        from inventory.house.concerns import register_promise
        from inventory.house.hazard_concerns import register_people
        from inventory.valuation.queries.promises import people_told, promised_words

        register_promise(promised_words)
        register_people(people_told)
