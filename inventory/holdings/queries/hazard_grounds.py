"""Why a thing is taken to bear a hazard, by its own words and figures: asked by register, labels and its own page."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import Prefetch

from inventory.holdings.models import Fact, Item, PartLot
from inventory.holdings.rules import hazard_grounds as why
from inventory.holdings.rules.facts import MADE

#: Fetches with things when each was made, for ``own_grounds``.
MADE_FACTS = Prefetch(
    "facts", Fact._base_manager.filter(about=MADE, struck="").order_by("pk"), to_attr="made_facts"
)  # fmt: skip


def made_on(item: Item) -> date | None:
    """The earliest day on which it can have been made, by the last such fact; fetched before by ``MADE_FACTS``."""
    facts = item.made_facts  # type: ignore[attr-defined]
    return facts[-1].first if facts else None


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
