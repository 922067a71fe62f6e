"""The area as Django knows it."""

from django.apps import AppConfig


class FrontpageConfig(AppConfig):
    name = "inventory.frontpage"
    label = "frontpage"
    verbose_name = "Front page"
