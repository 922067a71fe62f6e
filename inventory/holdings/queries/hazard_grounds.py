"""Why a thing is taken to bear a hazard, by its own words and figures: asked by register, labels and its own page."""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.db.models import Prefetch

from inventory.holdings.models import Fact, Item, PartLot
from inventory.holdings.rules import hazard_grounds as why
from inventory.holdings.rules.facts import MADE, WEIGHT
from inventory.house.concerns import grounds_now

#: Fetches with things when each was made and what it weighs, for ``grounds_of``.
HAZARD_FACTS = Prefetch(
    "facts", Fact._base_manager.filter(about__in=(MADE, WEIGHT), struck="").order_by("pk"), to_attr="hazard_facts"
)  # fmt: skip


def grounds_of(item: Item, beside: Iterable[why.Ground] = ()) -> list[why.Ground]:
    """Why a thing is taken to bear hazards, but for the cautions of its kind; fetched before: ``HAZARD_FACTS``.

    ``beside``: what higher areas know of it (``grounds_beside``). The last entered fact counts.
    """
    facts = {fact.about: fact for fact in item.hazard_facts}  # type: ignore[attr-defined]
    made, weight = facts.get(MADE), facts.get(WEIGHT)
    heavy: Sequence[why.Ground] = ()
    if weight and weight.value is not None and weight.unit == "kg":
        heavy = why.of_weight(float(weight.value), "it weighs")
    return [*beside, *own_grounds(item, made.first if made else None), *heavy]


def grounds_beside(items: Iterable[Item]) -> dict[int, list[why.Ground]]:
    """By key what higher areas know of sets and units; asked only where some are among the things."""
    return grounds_now() if any(item.kind not in (Item.TUBE, Item.PARTS) for item in items) else {}


def own_grounds(item: Item, made: date | None) -> list[why.Ground]:
    """What its words name, and what a lot of capacitors holds (no query where the kind of part is at hand)."""
    row: Any = item.row
    if row is None:
        return []
    return [*why.of_words(_words(row), made), *(_of_lot(row) if isinstance(row, PartLot) else ())]


def _words(row: Any) -> str:
    """What is written of a thing itself, and what kind of part it is."""
    texts = [getattr(row, name, "") for name in ("name", "value", "condition", "note")]
    if isinstance(row, PartLot) and row.type:
        texts.append(f"{row.type.construction} {row.type.kind} {row.type.marking} {row.type.words}")
    return "\n".join(text for text in texts if isinstance(text, str) and text.strip())


def _of_lot(lot: PartLot) -> Iterable[why.Ground]:
    kind = lot.type
    if kind is None or kind.kind != "capacitor" or not (kind.value and kind.volts):
        return ()
    return why.of_lot(why.Capacitor(kind.value / 1e6, kind.volts, lot.most))
