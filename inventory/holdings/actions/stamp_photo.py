"""Entering the tubes of a photograph, each after somebody has confirmed it."""

import hashlib
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.contrib.auth import get_user_model
from django.db import transaction

from inventory.holdings.actions.papers import add_to_each
from inventory.holdings.actions.register import add_tubes
from inventory.holdings.models import Place, Tube
from inventory.holdings.queries.photo_entries import entered_by_page, reason_of
from inventory.house.writing import refuse

PART = 1024 * 1024  # bytes that are read at once: an upload may be larger than what is taken in
CAPTION = "Its stamp was read from this."


@transaction.atomic
def enter_confirmed(
    tubes: Sequence[Tube],
    *,
    by: Any,
    on: date,
    place: Place | None = None,
    picture: Any = None,
    digest: str = "",
    key: str = "",
) -> list[Tube]:
    """Add the tubes as a shelf session adds them, all or none; with ``picture``, hang it on each of them.

    ``digest``: that of the picture that was read. ``key``: of the page that was confirmed: under one key somebody's
    tubes are entered once, and the same again answers with the tubes of the first time. Raises ValidationError, also
    where the picture is another one.
    """
    if not tubes:
        raise refuse("__all__", "Nothing is confirmed, so nothing was entered. Tick each that is right.")
    if key and by is not None:  # who presses twice waits here for the end of the first
        list(get_user_model().objects.select_for_update(no_key=True).filter(pk=by.pk))
    if before := entered_by_page(digest, key, by):
        return _of_the_first_time(before, tubes)
    if picture is not None and digest and digest_of(picture) != digest:
        raise refuse("picture", "This is another photograph than the one that was read. Read it first.")
    reason = reason_of(digest, key)
    made = [one for tube in tubes for one in add_tubes(tube, by=by, on=on, place=place, reason=reason)]
    if picture is not None:
        add_to_each([tube.item for tube in made], picture, by=by, caption=CAPTION)
    return made


def _of_the_first_time(before: Sequence[Any], tubes: Sequence[Tube]) -> list[Tube]:
    """The tubes that were entered from a page, where that is what is asked for again."""
    made = list(Tube.objects.filter(item__in=[row.item_id for row in before]).select_related("item", "type"))
    made.sort(key=lambda tube: tube.pk)
    if len(made) < len(before) or [row.marked for row in before] != [tube.marked for tube in tubes]:
        left = f": {', '.join(tube.item.tag for tube in made)}" if made else ", and taken back since"
        raise refuse("__all__", f"Tubes were entered from this page already{left}. Read the photograph again for more.")
    return made


def digest_of(upload: Any) -> str:
    """The SHA-256 of an upload as it came, in hexadecimal figures."""
    upload.seek(0)
    digest = hashlib.sha256()
    while part := upload.read(PART):
        digest.update(part)
    upload.seek(0)
    return digest.hexdigest()
