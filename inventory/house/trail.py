"""Where a page lies: its group, the page of the navigation that it lies under, the thing it is about."""

from dataclasses import dataclass
from typing import Any

from django.urls import Resolver404, ResolverMatch, resolve, reverse

from inventory.house.areas import GROUPS, Group, Way, present_way, ways_of


@dataclass(frozen=True)
class Trail:
    """``group``: None where a page lies in none. ``steps``: label and address, the address empty for the page itself;
    none on the ``own`` page of a group.
    """

    group: Group | None
    steps: list[tuple[str, str]]
    own: bool = False


def trail_of(context: Any) -> Trail:
    """The trail of the page that a template draws, of the pages that its reader may open.

    A form or paper about one thing ("things/T-0001/move/") lies under that thing: ``back`` in the context says which.
    """
    if context.get("group") in GROUPS:
        return Trail(context["group"], [], own=True)
    match = getattr(context.get("request"), "resolver_match", None)
    way = _way(match)
    if match is None or way is None:
        return Trail(None, [])
    page = f"{match.app_name}:{match.url_name}"
    if page == way.group.page:
        return Trail(way.group, [], own=True)
    own = page == way.page
    about = None if own else _of_back(context.get("back"))
    way = about[0] if about else way
    steps = [(way.group.label, way.group.address)]
    if own:
        steps.append((way.label, ""))
    elif way in ways_of(way.group, str(context.get("role") or "")):
        steps.append((way.label, reverse(way.page)))
    return Trail(way.group, [*steps, about[1]] if about else steps)


def _way(match: ResolverMatch | None) -> Way | None:
    return present_way(match.app_name, match.url_name or "") if match else None


def _of_back(back: Any) -> tuple[Way, tuple[str, str]] | None:
    """The page of the navigation and the step of the thing that an address of a thing's own page leads to."""
    if not back:
        return None
    try:
        match = resolve(str(back).partition("?")[0].partition("#")[0])
    except Resolver404:
        return None
    name, way = match.kwargs.get("tag") or match.kwargs.get("name"), _way(match)
    return (way, (name, str(back))) if name and way else None
