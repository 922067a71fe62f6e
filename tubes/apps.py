"""The area as Django knows it."""

from django.apps import AppConfig


class TubesConfig(AppConfig):
    name = "tubes"
    verbose_name = "Tube knowledge"
