"""The area as Django knows it."""

from django.apps import AppConfig
from django.db.models.signals import post_delete, post_save


class TubesConfig(AppConfig):
    name = "tubes"
    verbose_name = "Tube knowledge"

    def ready(self) -> None:
        from tubes.models import KNOWLEDGE, knowledge_changed

        for model in KNOWLEDGE:
            for signal in (post_save, post_delete):
                signal.connect(knowledge_changed, sender=model, dispatch_uid=f"tubes.{model.__name__}")
