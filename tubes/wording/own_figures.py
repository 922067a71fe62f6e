"""Own figures that the tables give otherwise, in words."""

from collections.abc import Iterable

from tubes.queries.gaps import Otherwise
from tubes.wording.template_filters import figure_label, rated


def differing(found: Iterable[Otherwise]) -> str:
    """A sentence with both values of each figure, to stand behind another; empty where none differs."""
    told = [
        f"{figure_label(one.field)} {rated(one.own, one.field)}, "
        f"the tables {rated(one.tables, one.field)} ({one.grade})"
        for one in found
    ]
    return f" Where the tables say otherwise yours stands: {'; '.join(told)}." if told else ""
