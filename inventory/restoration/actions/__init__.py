"""Changes of plans, their lines, what is reserved for them, and what was done."""

from inventory.restoration.actions.findings import record_finding, record_findings
from inventory.restoration.actions.plans import (
    add_weak_part,
    save_plan,
    save_requirement,
    save_weak_part,
    save_weak_said,
    strike_requirement,
)
from inventory.restoration.actions.proposals import reserve_all, reserve_at, reserve_line
from inventory.restoration.actions.reserving import (
    release,
    release_all,
    release_line,
    reserve_parts,
    reserve_tube,
)
from inventory.restoration.actions.works import record_work, strike_work

__all__ = [
    "add_weak_part",
    "record_finding",
    "record_findings",
    "record_work",
    "release",
    "release_all",
    "release_line",
    "reserve_all",
    "reserve_at",
    "reserve_line",
    "reserve_parts",
    "reserve_tube",
    "save_plan",
    "save_requirement",
    "save_weak_part",
    "save_weak_said",
    "strike_requirement",
    "strike_work",
]
