"""The answer to a part in words: what was read, the lots that serve and those that do not; for pages and as JSON."""

from dataclasses import dataclass, replace

from inventory.holdings.models import PartLot
from inventory.holdings.rules.combining.combine import Combined
from inventory.holdings.rules.part_kinds import KINDS, show_value
from inventory.holdings.rules.replacement import Wanted
from inventory.holdings.rules.stand_ins import StandIn
from inventory.house.words_on_parts import WordOnPart

NO_KIND = "no kind of part is given on them, so they were not looked at: give each its kind, by Change on its page"
_UNITS = (("volts", "V"), ("watts", "W"), ("amps", "A"))


@dataclass(frozen=True)
class LotSaid:
    """A lot that was looked at. ``free``: how many of it count on nothing else; ``against`` empty: it may serve."""

    lot: PartLot
    free: int
    against: tuple[str, ...]
    cares: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()  # reserved, duds: what of the lot does not count
    hazards: tuple[str, ...] = ()  # as its label bears them

    @property
    def what(self) -> str:
        """What it is: by its kind, else as found."""
        return str(self.lot.type or self.lot)

    def as_dict(self) -> dict[str, object]:
        """As JSON holds one that serves."""
        kind, place = self.lot.type, self.lot.item.place
        told = {name: getattr(kind, name, None) for name in ("value", "tolerance_pct", "volts", "watts", "amps")}
        return {
            "lot": self.lot.tag, "what": self.what, "place": place.path if place else None, "free": self.free, **told,
            "construction": kind.construction if kind else "", "class": kind.safety_class if kind else "",
            "why": list(self.why), "cautions": list(self.cares), "does_not_count": list(self.beside),
            "hazards": list(self.hazards),
        }  # fmt: skip


@dataclass(frozen=True)
class Replacement:
    """The answer to a part in words. All lists are cut; ``count_...`` is of all.

    ``stand_ins``: what is no such part and does its work, where nothing in stock serves.
    """

    text: str
    wanted: Wanted
    single: tuple[LotSaid, ...] = ()
    why_not: tuple[LotSaid, ...] = ()
    combined: Combined | None = None
    count_single: int = 0
    count_why_not: int = 0
    stand_ins: tuple[StandIn, ...] = ()
    own: tuple[WordOnPart, ...] = ()  # the keeper's own words on such parts of set models, beside those
    without_kind: int = 0  # lots of no kind of part, of which nothing was said
    count_own: int = 0

    @property
    def no_kind(self) -> str:
        """What is to say of lots that were not looked at; empty where there are none."""
        number = self.without_kind
        return f"{number} lot{'' if number == 1 else 's'}: {NO_KIND}" if number else ""

    @property
    def cautions(self) -> tuple[str, ...]:
        """What goes for the place, whatever part is taken."""
        return self.wanted.cautions

    def cut(self, most: int) -> "Replacement":
        """The same with shorter lists of lots."""
        return replace(self, single=self.single[:most], why_not=self.why_not[:most], own=self.own[:most])

    @property
    def more_own(self) -> int:
        return self.count_own - len(self.own)

    @property
    def more_single(self) -> int:
        return self.count_single - len(self.single)

    @property
    def more_why_not(self) -> int:
        return self.count_why_not - len(self.why_not)

    @property
    def words(self) -> str:
        """What was read from the text."""
        asked, place = self.wanted.figures, self.wanted.place
        rated = [f"{getattr(asked, name):g} {unit}" for name, unit in _UNITS if getattr(asked, name) is not None]
        tolerance = f"within {asked.tolerance_pct:g} %" if asked.tolerance_pct else ""
        safety = f"class {asked.safety}" if asked.safety else ""
        parts = [tolerance, *rated, asked.construction, safety]
        first = " ".join(part for part in (asked.kind, show_value(asked.kind, asked.value), *self.wanted.words) if part)
        return ", ".join(part for part in (first, *parts, place.key) if part)

    def _not_looked_at(self) -> list[dict[str, object]]:
        """One more of the lots that do not serve: all those without a kind; their ``lot`` is None."""
        what = f"{self.without_kind} without a kind"
        return [{"lot": None, "what": what, "why": [NO_KIND]}] if self.without_kind else []

    def as_dict(self) -> dict[str, object]:
        asked = self.wanted.figures
        combined = self.combined.as_dict() if self.combined else {"combinations": [], "more": 0}
        return {
            "wanted": {
                "text": self.text, "read_as": self.words, "kind": asked.kind, "value": asked.value,
                "unit": KINDS[asked.kind].unit, "value_text": show_value(asked.kind, asked.value),
                "tolerance_pct": asked.tolerance_pct, "tolerance_assumed": self.wanted.assumed, "volts": asked.volts,
                "watts": asked.watts, "amps": asked.amps, "construction": asked.construction, "class": asked.safety,
                "place": self.wanted.place.key, "remarks": list(self.wanted.remarks),
            },
            "single": [one.as_dict() for one in self.single],
            "combinations": combined["combinations"],
            "why_not": [
                *({"lot": one.lot.tag, "what": one.what, "why": list(one.against)} for one in self.why_not),
                *self._not_looked_at(),
            ],
            "without_kind": self.without_kind,
            "more_single": self.more_single, "more": combined["more"],
            "more_why_not": self.more_why_not, "cautions": list(self.cautions),
            "stand_ins": [one.as_dict() for one in self.stand_ins], "own_stand_ins": [one.told for one in self.own],
            "more_own_stand_ins": self.more_own,
        }  # fmt: skip
