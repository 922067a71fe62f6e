"""The area as Django knows it."""

from django.apps import AppConfig


class ListsConfig(AppConfig):
    name = "inventory.lists"
    label = "lists"
    verbose_name = "Lists in and out"
