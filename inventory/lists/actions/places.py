"""Places named by a list: found again by path, code or name, else new ones at the top of the tree.

A new place stands at the top, since the list does not say what it lies in, and a place called "imported" would be one
that nobody can walk to. The keeper moves it into its room with everything in it.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from inventory.holdings.actions import save_place
from inventory.holdings.models import Item, Place
from inventory.holdings.queries import former_names, tag_of

LONGEST_CODE, LONGEST_NAME, LONGEST_PATH = 20, 120, 200
TAKEN_AS = "taken as"
SHORTEST_STEP = 3  # letters of a step in a way written with bare slashes (Barn/Shelf 2); A/3 may be one name


def fold(text: str) -> str:
    return " ".join(text.split()).casefold()


def loose(text: str) -> str:
    """A name without what is written or not between its word and its number: `Box 4`, `box4`, `BOX-4`, `Box no. 4`."""
    return re.sub(r"(?<=[^\W\d_])(?:[\s_.#:-]*(?:\b(?:no|nr)\b\.?|№|n°)?[\s_.#:-]*)(?=[0-9])", "", fold(text))


def plain_way(text: str) -> str:
    """A way down to a place as this register writes it: other signs between its steps, none at its ends."""
    text = re.sub(r"\s*(?:\\|\s>\s|→|»)\s*", " / ", text)
    return text.strip().strip("/").strip() or text.strip()


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
    by_loose: dict[str, list[Spot]] = field(default_factory=dict)
    taken: set[str] = field(default_factory=set)
    tagged: dict[str, Item | None] = field(default_factory=dict)
    made: list[int] = field(default_factory=list)
    fresh: list[str] = field(default_factory=list)  # paths of new ones in the order in which the list names them
    former_paths: dict[str, Spot] = field(default_factory=dict)  # what was renamed or merged since
    former_words: dict[str, list[Spot]] = field(default_factory=dict)
    _last: dict[str, int] = field(default_factory=dict)  # number given last to a code that is taken, by its path

    @classmethod
    def load(cls) -> "Places":
        places = cls()
        by_pk: dict[int, Spot] = {}
        for row in Place.objects.order_by("path"):
            by_pk[row.pk] = Spot(row.path, row.code, row.name, by_pk.get(row.parent_id or 0), row.pk)
        for spot in by_pk.values():
            places._add(spot, (spot.code, spot.name))
        for former in former_names():
            if (now := by_pk.get(former.now)) is not None:
                places.former_paths.setdefault(fold(former.path), now)
                for word in {fold(former.code), fold(former.name)} - {""}:
                    places.former_words.setdefault(word, []).append(now)
        return places

    def _add(self, spot: Spot, words: Iterable[str], called_so: bool = True) -> None:
        """``called_so``: its code is what it is called, not one made up of a name that cannot be a code."""
        self.taken.add(fold(spot.path))
        if called_so:
            self.by_path[fold(spot.path)] = spot
        for word in set(map(fold, words)) - {""}:
            self.by_word.setdefault(word, []).append(spot)
            self.by_loose.setdefault(loose(word), []).append(spot)

    def find(self, text: str) -> tuple[Spot | None, str, str]:
        """(place, why there is none, what is said of a new one). ``Hall / Bin 4`` goes down from place to place."""
        text = plain_way(text)
        if known := self.by_path.get(fold(text)):
            return known, "", ""
        if (former := self.former_paths.get(fold(text))) and not self._called_so_now(text):
            return former, "", f"{text} {TAKEN_AS} {former.path}, as it is called now"
        if lies_in := self._with_commas(text):
            return lies_in, "", f"{text} {TAKEN_AS} {lies_in.path}"
        parts = self._steps(text)
        spot: Spot | None = None
        told: list[str] = []
        if any(len(part) > LONGEST_NAME for part in parts):
            return None, f"longer than {LONGEST_NAME} letters, kept as text", ""
        for part in parts:
            found = self._one(part, spot)
            if isinstance(found, str):
                return None, found, ""
            if found is None and (found := self._spelled(part, spot)):
                told.append(f"{part} {TAKEN_AS} {found.path}")
            if found is None and (found := self._former(part, spot)):
                told.append(f"{part} {TAKEN_AS} {found.path}, as it is called now")
            if found is None:
                if thing := next(filter(None, map(self._tagged, parts)), None):
                    return None, f"{thing.tag} is the tag of a {thing.get_kind_display()}, no place", ""
                found = self._new(part, spot)
                told.append(f"no place of this name: {found.path} is new{self._coded(part, found)}")
                if len(found.path) > LONGEST_PATH:
                    return None, f"the place has more than {LONGEST_PATH} letters, kept as text", ""
            spot = found
        return (spot, "", "; ".join(told[-1:])) if spot else (None, "no place is named", "")

    def _called_so_now(self, text: str) -> bool:
        """Whether every step of a way is what a place is called today: that goes before what one was called once."""
        spot: Spot | None = None
        for part in self._steps(text):
            found = self._one(part, spot)
            if not isinstance(found, Spot):
                return found is not None  # several are called so: asked about
            spot = found
        return spot is not None

    def _with_commas(self, text: str) -> Spot | None:
        """The place that `Shelf 1, Drawer 4` names on its way down or up, where nothing is called so itself."""
        steps = [step.strip() for step in text.split(",")]
        if len(steps) < 2 or not all(steps) or fold(text) in self.by_word:
            return None
        ways = (self.by_path.get(fold(" / ".join(way))) for way in (steps, steps[::-1]))
        found = [spot for spot in ways if spot]
        return found[0] if len(found) == 1 else None

    def _steps(self, text: str) -> list[str]:
        """The names on the way down to a place. A bare slash parts them only where that is plain.

        It is where the way is known so far (``A/3`` with a place A here), or where every step is a word; else it
        belongs to the name.
        """
        parts = [" ".join(part.split()) for part in text.split(" / ") if part.strip()]
        if len(parts) != 1 or "/" not in parts[0] or fold(parts[0]) in self.by_word:
            return parts
        steps = [" ".join(step.split()) for step in parts[0].split("/")]
        if not all(steps):
            return parts
        if known := self.by_path.get(fold(" / ".join(steps))):
            return known.path.split(" / ")
        words = all(len(step) >= SHORTEST_STEP and not step.isdecimal() for step in steps)
        return steps if words or len(self.by_word.get(fold(steps[0]), [])) == 1 else parts

    def _tagged(self, part: str) -> Item | None:
        """The thing whose tag a name is; each name is asked about once."""
        if part not in self.tagged:
            self.tagged[part] = tag_of(part)
        return self.tagged[part]

    @staticmethod
    def _coded(part: str, spot: Spot) -> str:
        """What to say where the name of a new place cannot be its code."""
        return "" if spot.code == part else f", and bears {part} as its name"

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

    def _spelled(self, part: str, above: Spot | None) -> Spot | None:
        """The one place of that name in another spelling; the tag of a thing is no spelling of a place."""
        found = {id(spot): spot for spot in self.by_loose.get(loose(part), []) if above is None or spot.above is above}
        return next(iter(found.values())) if len(found) == 1 and not self._tagged(part) else None

    def _former(self, part: str, above: Spot | None) -> Spot | None:
        """The one place that was called so before it got another name or went up in another place."""
        found = {id(spot): spot for spot in self.former_words.get(fold(part), []) if above in (None, spot.above)}
        return next(iter(found.values())) if len(found) == 1 and not self._tagged(part) else None

    def _new(self, part: str, above: Spot | None) -> Spot:
        plain = part.replace("/", "-").strip()
        code = plain if len(plain) <= LONGEST_CODE else plain[:LONGEST_CODE].strip()
        code = self._free_code(code or "-", plain, above)
        name = part[:LONGEST_NAME] if code != part else ""
        spot = Spot(self._path(code, above), code, name, above)
        self.fresh.append(f"{spot.path} ({name})" if name else spot.path)
        if len(spot.path) <= LONGEST_PATH:
            self._add(spot, (name or code,), called_so=not name)
        return spot

    def _free_code(self, code: str, plain: str, above: Spot | None) -> str:
        """The code, or where it is taken the name cut short with a number: ``Cabinet by the~2``."""
        stem = fold(self._path(plain[: LONGEST_CODE - 4].strip(), above))
        while fold(self._path(code, above)) in self.taken:
            number = self._last[stem] = self._last.get(stem, 1) + 1
            end = f"~{number}"
            code = f"{plain[: LONGEST_CODE - max(4, len(end))].strip()}{end}"
        return code

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
