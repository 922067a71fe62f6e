"""The area as Django knows it."""

from django.apps import AppConfig


class SetsConfig(AppConfig):
    name = "inventory.sets"
    label = "sets"
    verbose_name = "Sets"
