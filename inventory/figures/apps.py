"""The area as Django knows it."""

from django.apps import AppConfig


class FiguresConfig(AppConfig):
    name = "inventory.figures"
    label = "figures"
    verbose_name = "Figures"
