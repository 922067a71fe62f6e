"""The area as Django knows it."""

from django.apps import AppConfig


class RestorationConfig(AppConfig):
    name = "inventory.restoration"
    label = "restoration"
    verbose_name = "Restoration"
