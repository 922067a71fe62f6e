"""The area as Django knows it."""

from django.apps import AppConfig


class DemoConfig(AppConfig):
    name = "inventory.demo"
    label = "demo"
    verbose_name = "Demo"
