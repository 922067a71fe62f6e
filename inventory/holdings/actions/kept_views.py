"""Views of lists, kept under a name and taken away."""

from typing import Any

from django.db import IntegrityError, transaction

from inventory.holdings.models import KeptView
from inventory.holdings.models.kept_views import LONGEST_VIEW
from inventory.house.writing import refuse


@transaction.atomic
def keep_view(of_list: str, name: str, query: str, *, by: Any, shared: bool = False) -> KeptView:
    """Keep what an address says of a list; the same name of the same person means the same view, written anew.

    An empty name keeps the columns that this person sees unless told.
    """
    if len(query) > LONGEST_VIEW:
        raise refuse("query", f"That is more than {LONGEST_VIEW} letters of an address. Narrow by less at once.")
    name = " ".join(name.split())
    own = KeptView.objects.select_for_update().filter(of_list=of_list, owner=by)
    found = next((view for view in own if view.name.casefold() == name.casefold()), None)  # in every alphabet
    view = found or KeptView(of_list=of_list, owner=by)
    view.name, view.query, view.shared = name, query, shared and bool(name)
    view.full_clean()
    try:
        with transaction.atomic():
            view.save()
    except IntegrityError as fault:
        raise refuse("name", f"{name or 'It'} was kept by you at this moment: look, and keep it again.") from fault
    return view


@transaction.atomic
def drop_view(view: KeptView, *, by: Any, keeper: bool = False) -> None:
    """Take a view away: one's own, or as a keeper one that is shared."""
    if view.owner_id != by.pk and not (keeper and (view.shared or view.owner_id is None)):
        raise refuse("name", f"{view.name} is not yours: whoever kept it takes it away, or a keeper.")
    view.delete()


def drop_own_views(sender: Any, instance: Any, **kwargs: Any) -> None:
    """What somebody kept for himself goes with his account; what he shared is everybody's and stays."""
    KeptView.objects.filter(owner=instance.pk, shared=False).delete()
