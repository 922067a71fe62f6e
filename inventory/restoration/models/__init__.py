"""Plans, their lines, what is reserved, done and found for them; parts known to be weak in a set model."""

from inventory.restoration.models.plans import Finding, Plan, Requirement, Reservation, Work
from inventory.restoration.models.weak import COUNTED, WeakPart, WeakSaid

__all__ = ["COUNTED", "Finding", "Plan", "Requirement", "Reservation", "WeakPart", "WeakSaid", "Work"]
