"""Why a thing is taken to bear a hazard, by its own words and figures: asked by register, labels and its own page."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import Prefetch

from inventory.holdings.models import Fact, HazardMark, Item, PartLot, PartType
from inventory.holdings.queries.type_hazards import hazards_of_stamp, hazards_of_types
from inventory.holdings.rules import hazard_grounds as why
from inventory.holdings.rules.facts import MADE, WEIGHT
from inventory.holdings.rules.hazard_register import Mark, unsettled
from inventory.holdings.rules.hazards import UNSURE
from inventory.holdings.rules.part_text import kind_named
from inventory.house.hazard_concerns import grounds_now

#: Fetches with things when each was made and what it weighs, for ``grounds_of``.
HAZARD_FACTS = Prefetch(
    "facts", Fact._base_manager.filter(about__in=(MADE, WEIGHT), struck="").order_by("pk"), to_attr="hazard_facts"
)  # fmt: skip


def grounds_of(item: Item, beside: Iterable[why.Ground] = ()) -> list[why.Ground]:
    """Why a thing is taken to bear hazards, but for the cautions of its kind; fetched before: ``HAZARD_FACTS``.

    ``beside``: what is known of its type, and by higher areas (``grounds_beside``).
    """
    facts: list[Fact] = item.hazard_facts  # type: ignore[attr-defined]
    weight = weight_of((one.value, one.unit) for one in facts if one.about == WEIGHT)
    made = made_on((one.first, one.estimated) for one in facts if one.about == MADE)
    return [*beside, *own_grounds(item, made, weight)]


def mark_of(row: HazardMark) -> Mark:
    """A row of the register as the rules take it."""
    return Mark(row.hazard, row.standing, row.reason, row.on, row.by_whom)


def by_rule(item: Item, beside: Iterable[why.Ground] = ()) -> list[why.Ground]:
    """Of ``grounds_of`` those whose hazard nobody has settled on the thing; fetched before: its marks as well."""
    return unsettled(grounds_of(item, beside), map(mark_of, item.hazards.all()))


def made_on(facts: Iterable[tuple[date | None, bool]]) -> date | None:
    """The earliest day on which it can have been made, of facts (not before, estimated): the earliest of several.

    None where nothing tells; ``UNSURE`` where one of them is no more than an estimate or a bound: about 1980 may be
    1978, whatever else is written.
    """
    days = [None if estimated else first for first, estimated in facts]
    return UNSURE if None in days else min(filter(None, days), default=None)


def weight_of(facts: Iterable[tuple[Any, str]]) -> float | None:
    """What it weighs in kg, of facts (value, unit): the heaviest of several."""
    return max((float(value) for value, unit in facts if value is not None and unit == "kg"), default=None)


def grounds_beside(items: Iterable[Item]) -> dict[int, list[why.Ground]]:
    """By key what is known of types of tubes, and by higher areas of sets and units; asked only where some are among
    the things.
    """
    items = list(items)
    told = grounds_now() if any(item.kind not in (Item.TUBE, Item.PARTS) for item in items) else {}
    types = hazards_of_types() if any(item.kind == Item.TUBE for item in items) else {}
    of_types = {item.pk: some for item in items if (some := grounds_of_type(item, types))}
    return {**told, **{key: [*told.get(key, ()), *some] for key, some in of_types.items()}}


def grounds_of_type(item: Item, types: Mapping[str, tuple[why.Ground, ...]]) -> Sequence[why.Ground]:
    """What is known of the type of a tube, or of a number in its stamp; ``types``: ``hazards_of_types``."""
    row: Any = item.row
    if item.kind != Item.TUBE or row is None:
        return ()
    return types.get(row.type.name, ()) if row.type_id else hazards_of_stamp(row.marked, types)


def own_grounds(item: Item, made: date | None, weighed: float | None = None) -> list[why.Ground]:
    """What its words name, what a lot of capacitors holds, and how heavy it is (no query where the kind of part is at
    hand). ``weighed``: in kg by a fact; else what its words say.
    """
    row: Any = item.row
    if row is None:
        return []
    words = own_words(row)
    said = why.weight_in(words) if weighed is None else None
    heavy = why.of_weight(weighed, "it weighs") if weighed else why.of_weight(said, "its words say") if said else ()
    stored = _of_lot(row, words) if isinstance(row, PartLot) else _in_note(words)
    return [*why.of_words(words, made), *stored, *heavy]


def own_words(row: Any) -> str:
    """What is written of a thing itself, and what kind of part it is."""
    texts = [getattr(row, name, "") for name in ("name", "value", "marked", "condition", "note")]
    if isinstance(row, PartLot) and row.type:
        texts.append(f"{row.type.construction} {row.type.kind} {row.type.words}".strip())
        texts.append(f"marked {row.type.marking}" if row.type.marking else "")
    return "\n".join(text for text in texts if isinstance(text, str) and text.strip())


def _in_note(words: str) -> Iterable[why.Ground]:
    """Capacitors that the words on a set, a unit or another thing tell of."""
    return why.of_lot(*why.held_most(None, [one for line in words.splitlines() for one in why.capacitors_told(line)]))


def _of_lot(lot: PartLot, words: str) -> Iterable[why.Ground]:
    """What is stored in it and what it gives; a note that names a supply makes a capacitor no supply."""
    kind = lot.type
    said = f"{lot.name} {lot.value}".strip()
    of_kind = f"{kind.marking} {kind.words}" if kind else ""
    is_capacitor = (kind.kind if kind else kind_named(said)) == "capacitor"
    if not is_capacitor:
        yield from why.of_supply(f"{said} {kind.kind if kind else ''} {of_kind}", kind.volts if kind else None, words)
    if kind is None or kind.kind in ("capacitor", "other"):
        typed = _typed(kind, lot.most)
        told = max((why.capacitors_told(text) for text in (said, of_kind)), key=_energy)
        yield from why.of_lot(*why.held_most(typed, told))
        if not typed and not told and (is_capacitor or not kind_named(said)):
            yield from why.unreckoned(f"{said} {of_kind} {kind.kind if kind else ''}{_rated(kind)}")


def _typed(kind: PartType | None, pieces: int | None) -> why.Capacitor | None:
    """A capacitor by the figures of its kind; None where those do not say what it holds."""
    if kind is None or kind.kind != "capacitor" or not (kind.value and kind.volts):
        return None
    return why.Capacitor(kind.value / 1e6, kind.volts, pieces)


def _energy(told: Sequence[why.Capacitor]) -> float:
    return sum(one.energy_j for one in told)


def _rated(kind: PartType | None) -> str:
    return f" {kind.volts:g} V" if kind and kind.volts else ""
