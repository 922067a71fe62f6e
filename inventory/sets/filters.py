"""What lists of tubes, chassis and units can be narrowed by."""

from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet

from inventory.holdings.filters import TubeFilter
from inventory.holdings.filters.things import ThingFilter, ThingWords
from inventory.holdings.models import Tube
from inventory.holdings.queries import AT_HAND
from inventory.house.concerns import claimed_keys
from inventory.sets.models import Chassis, PlugInUnit, SetModel, UnitModel
from inventory.sets.queries import fitted_now
from inventory.sets.queries.kinds import owned_of_kind
from tubes.rules.tables import KINDS


class OwnedTubeFilter(TubeFilter):
    LIST = "tubes"

    kind = filters.ChoiceFilter(
        choices=[("none", "not known"), *((kind, kind.replace("-", " ")) for kind in KINDS)],
        method="by_kind",
        label="Kind of tube",
    )
    fitted = filters.ChoiceFilter(
        choices=[
            ("yes", "in a set"),
            ("no", "on the shelf"),
            ("out", "in no set"),
            ("lent", "lent"),
            ("missed", "not found at a stock-take"),
        ],
        method="by_fitted",
        label="Where used",
    )
    kept = filters.ChoiceFilter(
        choices=[("reserved", "reserved"), ("free", "free: on the shelf and reserved for nothing")],
        method="by_kept",
        label="Reserved",
    )

    def by_kind(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        """Tubes of a kind, as the figures of their types have it; or those of whose kind nothing is known."""
        if value == "none":
            return rows.filter(Q(type__isnull=True) | Q(type__name__in=owned_of_kind("")))
        return rows.filter(type__name__in=owned_of_kind(value))

    def by_fitted(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        if value == "lent":
            return rows.exclude(item__lent_to="")
        if value == "missed":
            return rows.filter(item__missed_on__isnull=False)
        fitted = fitted_now()
        if value in ("yes", "out"):
            return rows.filter(fitted if value == "yes" else ~fitted)
        return rows.filter(AT_HAND, ~fitted)

    def by_kept(self, rows: QuerySet[Tube], name: str, value: Any) -> QuerySet[Tube]:
        """Those that something counts on, or those that are there for whoever wants them."""
        kept = Q(pk__in=[])
        for keys in claimed_keys():
            kept |= Q(pk__in=keys)
        return rows.filter(kept) if value == "reserved" else rows.filter(AT_HAND, ~fitted_now()).exclude(kept)


class ChassisFilter(ThingFilter):
    LIST = "chassis"

    model = filters.ModelChoiceFilter(queryset=SetModel.objects.all(), label="Set model")
    text = ThingWords(("serial", "model", "note"), "serial", "model__name", "note")

    class Meta:
        model = Chassis
        fields: list[str] = []


class UnitFilter(ChassisFilter):
    LIST = "units"

    model = filters.ModelChoiceFilter(queryset=UnitModel.objects.all(), label="Unit model")

    class Meta:
        model = PlugInUnit
        fields: list[str] = []
