"""Entering the tubes of a photograph, each after somebody has confirmed it."""

import hashlib
from collections.abc import Sequence
from datetime import date
from typing import Any

from django.db import transaction

from inventory.holdings.actions.papers import add_to_each
from inventory.holdings.actions.register import add_tubes
from inventory.holdings.models import Place, Tube
from inventory.house.writing import refuse

PART = 1024 * 1024  # bytes that are read at once: an upload may be larger than what is taken in
CAPTION = "Its stamp was read from this."


@transaction.atomic
def enter_confirmed(
    tubes: Sequence[Tube], *, by: Any, on: date, place: Place | None = None, picture: Any = None, digest: str = ""
) -> list[Tube]:
    """Add the tubes as a shelf session adds them, all or none; with ``picture``, hang it on each of them.

    ``digest``: that of the picture that was read. Raises ValidationError, also where the picture is another one.
    """
    if not tubes:
        raise refuse("__all__", "Nothing is confirmed, so nothing was entered. Tick each that is right.")
    if picture is not None and digest and digest_of(picture) != digest:
        raise refuse("picture", "This is another photograph than the one that was read. Read it first.")
    made = [one for tube in tubes for one in add_tubes(tube, by=by, on=on, place=place)]
    if picture is not None:
        add_to_each([tube.item for tube in made], picture, by=by, caption=CAPTION)
    return made


def digest_of(upload: Any) -> str:
    """The SHA-256 of an upload as it came, in hexadecimal figures."""
    upload.seek(0)
    digest = hashlib.sha256()
    while part := upload.read(PART):
        digest.update(part)
    upload.seek(0)
    return digest.hexdigest()
