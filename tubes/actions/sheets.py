"""A data sheet typed in: the keeper's own row of figures, the text it rests on and the pins, written together."""

from typing import Any

from django.db import transaction
from django.db.models import Q
from django.utils.text import slugify

from inventory.house.writing import refuse, remove, write
from tubes.actions.ratings import save_rating
from tubes.models import KEEPER, TABLE, Basing, Rating, Source
from tubes.rules.basing import parse_pins
from tubes.rules.sources import STATED


def text_named(title: str, page: str = "", dated: str = "", *, by: Any) -> Source:
    """The text of this title, page and date: the one that is there, else a new one of the keeper's own."""
    title, page, dated = (" ".join(one.split()) for one in (title, page, dated))
    own = Source.objects.filter(title__iexact=title, location=page, year=dated).order_by("origin").first()
    if own is not None:
        return own
    if not page and not dated and (named := Source.objects.filter(title__iexact=title).order_by("pk").first()):
        return named
    stem = f"own-{slugify(title)[:40]}".rstrip("-")
    taken = set(Source.objects.filter(key__startswith=stem).values_list("key", flat=True))
    key = next(key for key in (stem, *(f"{stem}-{n}" for n in range(2, len(taken) + 3))) if key not in taken)
    return write(Source(key=key, title=title, location=page, year=dated, origin=KEEPER), by=by)


@transaction.atomic
def save_sheet(
    rating: Rating, *, source: Source | None = None, title: str = "", page: str = "", dated: str = "", pins: str = "",
    grade: str = STATED, by: Any, reason: str = "",
) -> Rating:  # fmt: skip
    """Write figures of the keeper's own with the text that they rest on and the pins of the base.

    ``title`` (with ``page`` and ``dated``) stands before ``source``. ``pins`` as ``tubes.rules.basing`` writes them.
    A diagram of the tables is never changed: other pins want a code of their own.
    """
    text = text_named(title, page, dated, by=by) if title.strip() else source
    if text is None:
        raise refuse("title", "Name the text that the figures stand in, or choose one.")
    if pins:
        _draw(rating, pins, text, by=by, reason=reason)
    return save_rating(rating, source=text, grade=grade, by=by, reason=reason)


def _draw(rating: Rating, pins: str, text: Source, *, by: Any, reason: str) -> None:
    """Keep the pins of a type: under the code of its base, where nobody draws that otherwise, else under its name."""
    drawn = parse_pins(pins)
    rating.basing = rating.basing or f"own {rating.type.name}"[:20]
    there = Basing.objects.filter(code=rating.basing, origin=TABLE).first()
    if there is not None and dict(parse_pins(there.pins)) == dict(drawn):
        return
    if there is not None:
        raise refuse(
            "pins", f"The tables draw {rating.basing} as {there.pins}. Where your sheet has other pins, write a basing "
            "code of your own beside them.",
        )  # fmt: skip
    base = rating.base or next(
        (row.base for row in Rating.objects.filter(type=rating.type, origin=TABLE).exclude(base="")), ""
    )
    if not base:
        raise refuse("base", "The pins are those of a base: write it, for example octal or noval.")
    own = Basing.objects.filter(code=rating.basing, origin=KEEPER).first()
    if own is not None and dict(parse_pins(own.pins)) == dict(drawn) and own.socket == base:
        return
    if own is not None and Rating.objects.filter(~Q(type=rating.type), basing=own.code).exists():
        raise refuse("pins", f"Other types stand on your diagram {own.code}, {own.pins}: write another basing code.")
    row = own or Basing(code=rating.basing, origin=KEEPER)
    row.socket, row.pins, row.source = base, pins, text
    write(row, by=by, reason=reason)


@transaction.atomic
def drop_rating(rating: Rating, *, reason: str, by: Any) -> None:
    """Strike out figures of the keeper's own: the tables' stand again; history keeps the row with the reason."""
    if rating.origin == TABLE:
        raise refuse("__all__", "Figures of the tables stay; write your own to stand before them.")
    if not reason.strip():
        raise refuse("why", "Write why they are struck out.")
    for row in rating.sources.all():
        remove(row, by=by, reason=reason)
    code = rating.basing
    remove(rating, by=by, reason=reason)
    drawn = Basing.objects.filter(code=code, origin=KEEPER).first() if code else None
    if drawn is not None and not Rating.objects.filter(basing=code).exists():
        remove(drawn, by=by, reason=reason)
