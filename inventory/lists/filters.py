"""What the list of moves can be narrowed by."""

from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet

from inventory.holdings.models import Movement


class MovementFilter(filters.FilterSet):
    text = filters.CharFilter(method="by_text", label="Tag or words of a place")
    since = filters.DateFilter(field_name="on", lookup_expr="gte", label="From")
    until = filters.DateFilter(field_name="on", lookup_expr="lte", label="To")

    class Meta:
        model = Movement
        fields: list[str] = []

    def by_text(self, rows: QuerySet[Movement], name: str, value: Any) -> QuerySet[Movement]:
        for word in value.split():
            places = Q(from_path__icontains=word) | Q(to_path__icontains=word)
            rows = rows.filter(Q(item__tag__iexact=word) | places)
        return rows
