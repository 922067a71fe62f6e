"""How the rows of this area stand in the archive, each after everything that it refers to."""

from inventory.house.archived import Spec
from inventory.restoration.models import Finding, Plan, Requirement, Reservation, WeakPart, WeakSaid, Work

SPECS = (
    Spec("plans", Plan, ("name",), ("name",)),
    Spec("weak_parts", WeakPart, numbered=True),
    Spec("weak_said", WeakSaid, numbered=True),
    Spec("requirements", Requirement, numbered=True),
    Spec("reservations", Reservation, numbered=True),
    Spec("findings", Finding, then=("on", "pk")),
    Spec("works", Work, then=("on", "pk")),
)  # fmt: skip
