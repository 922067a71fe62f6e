"""Questions about what is looked for."""

from collections import defaultdict
from collections.abc import Iterable

from django.db.models import QuerySet

from inventory.holdings.models import Want
from inventory.house.search import SHORTEST_WORD, words_of


def open_wants() -> QuerySet[Want]:
    """What is still wanted."""
    return Want.objects.filter(settled="").select_related("type")


def wants_by_type(names: Iterable[str] | None = None) -> dict[str, list[Want]]:
    """By type: what is still wanted of it (one query). None: of all types."""
    rows = open_wants().filter(type__isnull=False)
    if names is not None:
        rows = rows.filter(type__name__in=list(names))
    found: dict[str, list[Want]] = defaultdict(list)
    for want in rows:
        found[want.type.name].append(want)  # type: ignore[union-attr]
    return found


def wants_in_words(text: str) -> list[Want]:
    """Things still wanted that are no known tube type and whose words hold every word of the text (one query)."""
    if len("".join(text.replace("\0", "").split())) < SHORTEST_WORD:
        return []
    rows = open_wants().filter(type__isnull=True)
    for word in words_of(text):
        rows = rows.filter(thing__icontains=word)
    return list(rows)
