"""The catalogue: what there is, with pictures, by kind and model or by place; values only where they are asked for."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from inventory.holdings.models import Item
from inventory.holdings.queries.facts import readings_told
from inventory.house.areas import kinds
from inventory.house.concerns import readings_of_many
from inventory.valuation.queries.belonging import STANDS_IN, bonds_on
from inventory.valuation.queries.on_paper import Piece, in_parts, pieces
from inventory.valuation.queries.stated import Stated
from inventory.valuation.queries.things import NO_PLACE
from inventory.valuation.queries.worth import added, told_amount

BY_KIND, BY_PLACE = "kind", "place"


@dataclass(frozen=True, slots=True)
class Entry:
    """A thing, or like things without a picture in one entry. ``figures``: readings, ratings, coverage in words.

    ``holds``: what stands in it; ``stands_in``: where it does, a set and a mark.
    """

    pieces: tuple[Piece, ...]
    figures: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    stands_in: str = ""

    @property
    def first(self) -> Piece:
        return self.pieces[0]

    @property
    def tags(self) -> tuple[str, ...]:
        return tuple(one.tag for one in self.pieces)

    @property
    def amount(self) -> Decimal | None:
        """What they are worth by themselves, together."""
        some = [one.figure.amount for one in self.pieces if one.figure.amount is not None]
        return added(some) if some else None

    def as_dict(self, values: bool) -> dict[str, Any]:
        first = self.first
        told: dict[str, Any] = {
            "tags": list(self.tags), "count": len(self.pieces), "what": first.name, "kind": first.figure.kind,
            "maker": first.maker or None, "serial": first.serial or None, "grade": first.figure.grade or None,
            "condition": first.condition or None, "place": first.figure.place or None,
            "acquired": first.acquired or None, "figures": list(self.figures), "holds": list(self.holds),
            "stands_in": self.stands_in or None, "photograph": first.photograph is not None,
        }  # fmt: skip
        return told | ({"value": told_amount(self.amount)} if values else {})


@dataclass(frozen=True)
class Catalogue:
    """Entries by chapter and heading: kind and model, or building and place."""

    stated: Stated
    by: str
    values: bool
    chapters: tuple[tuple[str, tuple[tuple[str, tuple[Entry, ...]], ...]], ...]

    def as_dict(self) -> dict[str, Any]:
        return {
            "by": self.by,
            "chapters": [
                {
                    "title": title,
                    "headings": [
                        {"title": name, "entries": [entry.as_dict(self.values) for entry in entries]}
                        for name, entries in headings
                    ],
                }
                for title, headings in self.chapters
            ],
        }


def catalogue(found: Stated, today: date, *, by: str = BY_KIND, values: bool = False) -> Catalogue:
    """The catalogue of what a valuation values, in a fixed number of queries."""
    known = pieces(found.figures)
    items = [piece.item for piece in known.values()]
    tubes = [item for item in items if item.kind == Item.TUBE]
    read: dict[int, str] = {}
    for part in in_parts(tubes):
        read |= readings_told([item.pk for item in part]) | readings_of_many(part)
    holds, stands = _standing(today, known)
    like: dict[tuple[str, ...], list[Piece]] = defaultdict(list)
    for tag in sorted(known):
        piece = known[tag]
        like[_alike(piece, read, stands)].append(piece)
    chapters: dict[str, dict[str, list[Entry]]] = defaultdict(lambda: defaultdict(list))
    for some in like.values():
        first = some[0]
        entry = Entry(tuple(some), _figures(first, read), tuple(holds.get(first.tag, ())), stands.get(first.tag, ""))
        chapter, heading = _where(first, by)
        chapters[chapter][heading].append(entry)
    return Catalogue(
        found, by, values,
        tuple((title, _headings(chapters[title])) for title in sorted(chapters, key=lambda one: _order(one, by))),
    )  # fmt: skip


def _standing(today: date, known: dict[str, Piece]) -> tuple[dict[str, list[str]], dict[str, str]]:
    holds: dict[str, list[str]] = defaultdict(list)
    stands: dict[str, str] = {}
    for bond in bonds_on(today).bonds:
        if bond.sort == STANDS_IN and bond.one in known:
            holds[bond.other].append(f"{bond.words} {known[bond.one].name}")
            whole = known[bond.other].name if bond.other in known else ""
            stands[bond.one] = f"{whole} {bond.other}, {bond.words}".strip()
    return holds, stands


def _alike(piece: Piece, read: dict[int, str], stands: dict[str, str]) -> tuple[str, ...]:
    """What like things share; a thing with a picture, a reading or a place in a set is by itself."""
    if piece.item.kind != Item.TUBE or piece.photograph or piece.item.pk in read or piece.tag in stands:
        return (piece.tag,)
    figure = piece.figure
    return piece.name, piece.maker, figure.grade, figure.place, piece.condition, str(figure.amount)


def _figures(piece: Piece, read: dict[int, str]) -> tuple[str, ...]:
    row: Any = piece.row
    told = [read.get(piece.item.pk, "")]
    if piece.item.kind == Item.CHASSIS:
        told += [row.model.kind, f"rated {row.model.rated_power_w:g} W" if row.model.rated_power_w else ""]
    if piece.item.kind == Item.UNIT:
        low, high = row.model.low_kc, row.model.high_kc
        told.append(f"covers {low:g} to {high:g} kc" if low and high else "")
    if piece.item.kind == Item.PARTS:
        told.append(f"quantity {row.quantity_text}")
    return tuple(filter(None, told))


def _where(piece: Piece, by: str) -> tuple[str, str]:
    if by == BY_PLACE:
        building, _, below = piece.figure.place.partition(" / ")
        return building or NO_PLACE, below
    return piece.item.kind, piece.row.name if piece.item.kind == Item.PARTS else piece.name


def _headings(found: dict[str, list[Entry]]) -> tuple[tuple[str, tuple[Entry, ...]], ...]:
    return tuple((name, tuple(_sorted(found[name]))) for name in sorted(found, key=str.casefold))


def _sorted(entries: Sequence[Entry]) -> list[Entry]:
    return sorted(entries, key=lambda entry: (entry.first.name, entry.first.serial, entry.tags))


def _order(title: str, by: str) -> tuple[int, str]:
    """Kinds with sets first, as estate lists have them; places by name, none last."""
    if by == BY_PLACE:
        return int(title == NO_PLACE), title
    first = (Item.CHASSIS, Item.UNIT, Item.COMPANION, Item.TUBE, Item.PARTS)
    return first.index(title) if title in first else len(first), title


def kind_words(kind: str) -> str:
    """A kind of thing as a chapter names it."""
    return kinds()[kind].words if kind in kinds() else kind
