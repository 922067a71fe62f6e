"""Which of several columns of places holds which: a room the cabinet, a shelf the box, wherever they stand in a list.

By the words of the headings, unless the keeper says it of the list. Common practice, no source.
"""

from collections.abc import Sequence

from inventory.lists.rules import fields as f
from inventory.lists.rules.heading_text import fold_heading

_FROM_OUTSIDE_IN = (
    "building house site barn location place haus gebaude lager lagerort ort batiment lieu gebouw plaats edificio "
    "luogo budynek miejsce budova misto здание место",
    "room hall attic cellar loft raum zimmer keller boden piece salle cave grenier kamer zolder kelder stanza sala "
    "soffitta pokoj piwnica strych mistnost sklep puda комната подвал чердак",
    "bay aisle row rack cabinet cupboard regal schrank armoire casier kast stelling armadio scaffale szafa regał skrin "
    "шкаф стеллаж",
    "shelf fach etagere plank ripiano estante polka police полка",
    "drawer tray schublade schub lade tiroir la cassetto cajon szuflada suplik zasuvka",
    "box bin carton crate case kiste karton schachtel boite doos krat scatola caja pudełko pudlo pudelko krabice "
    "коробка ящик",
    "bag compartment slot position vak sacchetto pozycja pozice ячейка",
)  # fmt: skip
_RANK = {fold_heading(word): rank for rank, words in enumerate(_FROM_OUTSIDE_IN) for word in words.split()}


def place_columns(mapping: Sequence[str]) -> list[int]:
    """The columns of places of a list, from left to right."""
    return [at for at, field in enumerate(mapping) if field == f.PLACE]


def place_order(headings: Sequence[str], mapping: Sequence[str], said: str = "") -> tuple[int, ...]:
    """The columns of places from the outermost in. ``said``: their headings in that order, parted by strokes.

    Without a word of the keeper's by the words of the headings; where one is not known, as they stand in the list.
    """
    columns = place_columns(mapping)
    names = {fold_heading(headings[at]): at for at in reversed(columns) if at < len(headings)}
    told = [names[name] for name in map(fold_heading, said.split("/")) if name in names]
    ranks = [_RANK.get(fold_heading(headings[at])) if at < len(headings) else None for at in columns]
    if None not in ranks:
        columns = [at for _, at in sorted(zip(ranks, columns, strict=True), key=lambda pair: (pair[0] or 0, pair[1]))]
    return tuple(dict.fromkeys((*told, *columns)))


def order_in_words(headings: Sequence[str], order: Sequence[int]) -> str:
    """The headings from the outermost in, as a keeper says them."""
    return " / ".join(headings[at] for at in order if at < len(headings))


def not_places(headings: Sequence[str], mapping: Sequence[str], said: str) -> list[str]:
    """What a keeper named as a column of places and is none."""
    names = {fold_heading(headings[at]) for at in place_columns(mapping) if at < len(headings)}
    return [name.strip() for name in said.split("/") if name.strip() and fold_heading(name) not in names]
