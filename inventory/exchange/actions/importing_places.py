"""Places named by a list: found again by path, code or name, else new ones at the top of the tree.

A new place stands at the top, since the list does not say what it lies in, and a place called "imported" would be one
that nobody can walk to. The keeper moves it into its room with everything in it.
"""

from dataclasses import dataclass, field
from typing import Any

from inventory.holdings.actions import save_place
from inventory.holdings.models import Place

LONGEST_CODE, LONGEST_NAME, LONGEST_PATH = 20, 120, 200


def fold(text: str) -> str:
    return " ".join(text.split()).casefold()


@dataclass(slots=True)
class Spot:
    """A place as the import sees it; ``pk`` is None until it is written."""

    path: str
    code: str
    name: str
    above: "Spot | None" = None
    pk: int | None = None


@dataclass
class Places:
    """All places, by what a list may call them."""

    by_path: dict[str, Spot] = field(default_factory=dict)
    by_word: dict[str, list[Spot]] = field(default_factory=dict)
    made: list[int] = field(default_factory=list)

    @classmethod
    def load(cls) -> "Places":
        places = cls()
        by_pk: dict[int, Spot] = {}
        for row in Place.objects.order_by("path"):
            by_pk[row.pk] = Spot(row.path, row.code, row.name, by_pk.get(row.parent_id or 0), row.pk)
        for spot in by_pk.values():
            places._add(spot)
        return places

    def _add(self, spot: Spot) -> None:
        self.by_path[fold(spot.path)] = spot
        for word in {fold(spot.code), fold(spot.name)} - {""}:
            self.by_word.setdefault(word, []).append(spot)

    def find(self, text: str) -> tuple[Spot | None, str, bool]:
        """(place, why there is none, whether it is new). ``Hall / Bin 4`` goes down from place to place."""
        if known := self.by_path.get(fold(text)):
            return known, "", False
        parts = [" ".join(part.split()) for part in text.split(" / ") if part.strip()]
        spot: Spot | None = None
        new = False
        if any(len(part) > LONGEST_NAME for part in parts):
            return None, f"longer than {LONGEST_NAME} letters, kept as text", False
        for part in parts:
            found = self._one(part, spot)
            if isinstance(found, str):
                return None, found, False
            if found is None:
                found, new = self._new(part, spot), True
                if len(found.path) > LONGEST_PATH:
                    return None, f"the place has more than {LONGEST_PATH} letters, kept as text", False
            spot = found
        return (spot, "", new) if spot else (None, "no place is named", False)

    def _one(self, part: str, above: Spot | None) -> Spot | str | None:
        """The place of that code or name; a text says why none can be taken."""
        found = [spot for spot in self.by_word.get(fold(part), []) if above is None or spot.above is above]
        found = list({id(spot): spot for spot in found}.values())
        at_top = [spot for spot in found if spot.above is None]
        if len(found) > 1 and above is None and len(at_top) == 1:
            found = at_top
        if len(found) > 1:
            return f"{len(found)} places are called {part}, none is chosen"
        return found[0] if found else None

    def _new(self, part: str, above: Spot | None) -> Spot:
        plain = part.replace("/", "-").strip()
        code = plain if len(plain) <= LONGEST_CODE else plain[:LONGEST_CODE].strip()
        code, number = code or "-", 1
        while fold(self._path(code, above)) in self.by_path:
            number += 1
            code = f"{plain[: LONGEST_CODE - 4].strip()}~{number}"
        name = part[:LONGEST_NAME] if code != part else ""
        spot = Spot(self._path(code, above), code, name, above)
        if len(spot.path) <= LONGEST_PATH:
            self._add(spot)
        return spot

    @staticmethod
    def _path(code: str, above: Spot | None) -> str:
        return f"{above.path} / {code}" if above else code

    def write(self, spot: Spot, *, by: Any) -> int:
        """The key of a place, written now if it is new."""
        if spot.pk is None:
            above = self.write(spot.above, by=by) if spot.above else None
            # What the database holds for the same letters in another case, it knows better than we do.
            row = Place.objects.filter(path__iexact=spot.path).first()
            if row is None:
                row = Place(code=spot.code, name=spot.name, parent=Place.objects.get(pk=above) if above else None)
                row = save_place(row, by=by)
                self.made.append(row.pk)
            spot.pk, spot.path = row.pk, row.path
        return spot.pk
