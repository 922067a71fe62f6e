"""The history that models keep: django-simple-history's, whose manager's class is made once and not at every access."""

from functools import cache
from typing import Any

from simple_history.manager import HistoryManager
from simple_history.models import HistoricalRecords


class _Manager(HistoryManager):
    @classmethod
    @cache
    def from_queryset(cls, queryset_class: Any, class_name: str | None = None) -> Any:
        return super().from_queryset(queryset_class, class_name)


class History(HistoricalRecords):
    """As ``HistoricalRecords``."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"history_manager": _Manager, **options})
