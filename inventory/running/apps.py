"""The area as Django knows it."""

from django.apps import AppConfig


class RunningConfig(AppConfig):
    name = "inventory.running"
    label = "running"
    verbose_name = "Running"

    def ready(self) -> None:
        from inventory.house.concerns import register_doubts, register_mates, register_reading
        from inventory.running.queries import doubts_of, latest_readings, mates_of_many

        register_mates(mates_of_many)
        register_reading(latest_readings)
        register_doubts(doubts_of)
