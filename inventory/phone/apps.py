"""The area as Django knows it."""

from django.apps import AppConfig


class PhoneConfig(AppConfig):
    name = "inventory.phone"
    label = "phone"
    verbose_name = "Phone"
