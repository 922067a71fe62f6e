"""The area as Django knows it."""

from django.apps import AppConfig


class RunningConfig(AppConfig):
    name = "inventory.running"
    label = "running"
    verbose_name = "Running"
