"""How the rows of this area stand in the archive, each after everything that it refers to."""

from django.db.models import Q

from inventory.house.archived import Spec
from tubes.models import (
    KEEPER,
    Basing,
    Designation,
    JanMaker,
    Limit,
    Rating,
    RatingSource,
    Source,
    TubeType,
)

SPECS = (
    Spec("sources", Source, ("key",), ("key",), named_only=True),
    Spec("types", TubeType, ("name",), ("name",), named_only=True),
    Spec("maker_codes", JanMaker, ("code",), ("code",), only=Q(origin=KEEPER)),
    Spec(
        "designations", Designation, ("type", "scheme", "designation"),
        ("type__name", "scheme", "designation"), only=Q(origin=KEEPER),
    ),
    Spec("ratings", Rating, ("type",), ("type__name",), only=Q(origin=KEEPER)),
    Spec(
        "rating_sources", RatingSource, ("rating", "field", "source"),
        ("rating__type__name", "field", "source__key"), only=Q(rating__origin=KEEPER),
    ),
    Spec("limits", Limit, ("key",), ("key",), only=Q(origin=KEEPER)),
    Spec("basings", Basing, ("code",), ("code",), only=Q(origin=KEEPER)),
)  # fmt: skip
