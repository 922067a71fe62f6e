"""What lists of types can be narrowed by."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from inventory.house.filters import TextFilter
from tubes.models import TubeType
from tubes.queries import type_list
from tubes.rules.tables import KINDS


class TypeFilter(filters.FilterSet):
    text = TextFilter(method="by_text", label="Type or any number")
    kind = filters.ChoiceFilter(
        field_name="ratings__kind", choices=[(k, k.replace("-", " ")) for k in KINDS], distinct=True, label="Kind"
    )

    class Meta:
        model = TubeType
        fields: list[str] = []

    def by_text(self, rows: QuerySet[TubeType], name: str, value: Any) -> QuerySet[TubeType]:
        return rows & type_list(str(value))
