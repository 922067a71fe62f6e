"""The area as Django knows it."""

from django.apps import AppConfig


class ArchiveConfig(AppConfig):
    name = "inventory.archive"
    label = "archive"
    verbose_name = "Archive and backup"
