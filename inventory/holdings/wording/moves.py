"""A move that was just written, in words."""

from inventory.holdings.models import Item, Place


def moved_words(item: Item, place: Place | None) -> str:
    """Where a thing went; or, where it was filed of a day before a later move, where it stands (one query)."""
    now = Item.objects.select_related("place").get(pk=item.pk)
    if now.place != place:
        stands = now.place or "no place"
        return f"Written into the history of {item.tag}. A later move stands: it is in {stands}."
    return f"{item.tag} moved to {place or 'no place'}."
