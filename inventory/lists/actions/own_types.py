"""Types of tubes that a keeper names while a list comes in."""

from typing import Any

from tubes.actions import save_type
from tubes.models import TubeType


def make_type(name: str, run: int, row: int, *, by: Any) -> None:
    """Make what a keeper named for a row of a list a type of its own, unless it was made since the row came in."""
    if not TubeType.objects.filter(name=name).exists():
        save_type(TubeType(name=name), by=by, reason=f"named by list {run} row {row}")
