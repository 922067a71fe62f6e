"""Which kept views of a list somebody sees."""

from typing import Any

from django.db.models import Q

from inventory.holdings.models import KeptView


def views_of(name: str, user: Any) -> list[KeptView]:
    """The views of a list that somebody kept or that are shared, by name; first his or her own columns (one query)."""
    own = Q(owner=user.pk) if getattr(user, "pk", None) else Q(pk__in=[])
    return list(KeptView.objects.filter(own | (Q(shared=True) & ~Q(name="")), of_list=name).select_related("owner"))


def view_named(of_list: str, name: str, user: Any = None) -> KeptView:
    """The view of that name that somebody kept, else a shared one. Raises ValueError where there is none."""
    found = [view for view in views_of(of_list, user) if view.name.casefold() == name.strip().casefold() and view.name]
    found.sort(key=lambda view: view.owner_id != getattr(user, "pk", None))
    if not found:
        names = ", ".join(view.name for view in views_of(of_list, user) if view.name) or "none"
        raise ValueError(f"There is no view {name.strip()[:60]!r} of that list that you can see; there are: {names}.")
    owners = [view.of_whom for view in found if view.owner_id not in (None, getattr(user, "pk", None))]
    if len(found) > 1 and found[0].owner_id != getattr(user, "pk", None):
        raise ValueError(f"Views of that name are shared by {' and by '.join(owners)}: one of them is to be renamed.")
    return found[0]
