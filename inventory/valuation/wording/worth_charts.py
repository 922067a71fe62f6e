"""Charts of what the collection is worth: by building and kind, the dearest, what became of it, and over the years."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from inventory.house.bars import LESS, TOTAL, Bars, Item, bars
from inventory.running.wording.frame import Chart, frame
from inventory.valuation.models import Appraisal
from inventory.valuation.queries.worth import Collection, Group, building_of, kind_of
from inventory.valuation.rules.compare import PARTS, Comparison
from inventory.valuation.wording.things import kind_in_words

DEAREST, MOST_GROUPS = 12, 12


def building_bars(found: Collection) -> Bars | None:
    """Worth by building, from its low ends to its high ends, and what is insured there."""
    groups = [one for one in found.by(building_of) if one.amount or one.insured][:MOST_GROUPS]
    items = [
        Item(
            one.name, f"{_told(one.amount)}{_cover(one)}", float(one.amount), low=float(one.low),
            high=float(one.high), mark=float(one.insured) if one.insured else None,
        )
        for one in groups
    ]  # fmt: skip
    insured = any(one.insured for one in groups)
    caption = f"In {found.market.currency}. Line: if every thing there came out at its low end, at its high end."
    caption += " Ring: what is insured there." if insured else " Nothing is insured singly."
    return bars(items, f"Worth by building: {_listed(items)}.", caption)


def _cover(one: Group) -> str:
    return f", insured {_told(one.insured)}" if one.insured else ""


def kind_bars(found: Collection) -> Bars | None:
    """Worth by kind of thing."""
    groups = [one for one in found.by(kind_of) if one.amount]
    items = [Item(f"{kind_in_words(one.name)}, {one.things}", _told(one.amount), float(one.amount)) for one in groups]
    caption = f"In {found.market.currency}. What stands in a set that is valued whole is in the set."
    return bars(items, f"Worth by kind of thing: {_listed(items)}.", caption)


def dearest_bars(found: Collection) -> Bars | None:
    """The dearest things that count, each with where such sales lie."""
    lines = sorted(found.counted, key=lambda one: (-(one.amount or 0), one.thing.tag))[:DEAREST]
    items = [
        Item(
            f"{one.thing.tag} {one.thing.what}", _told(one.amount), float(one.amount), low=float(one.low or 0),
            high=float(one.high or 0),
        )
        for one in lines
        if one.amount is not None
    ]  # fmt: skip
    caption = f"In {found.market.currency}. Line: where eight in ten such sales lie, or the range of fewer than five."
    return bars(items, f"The {len(items)} dearest things: {_listed(items)}.", caption)


def bridge(found: Comparison, then: date, now: date | None, currency: str) -> Bars | None:
    """From one valuation to the next: what was bought, left, changed its condition, its price. ``now`` None: today."""
    if not found.differences:
        return None
    at = found.then
    items = [Item(f"On {then}", _told(at), float(at), kind=TOTAL)]
    for part in PARTS:
        if amount := found.parts[part]:
            kind = LESS if amount < 0 else "plain"
            items.append(Item(part.capitalize(), f"{amount:+,.2f}", float(at + amount), float(at), kind=kind))
            at += amount
    items.append(Item(f"On {now}" if now else "Now", _told(found.now), float(found.now), kind=TOTAL))
    caption = f"In {currency}. Dark: the totals; full: what came to it; hollow: what went from it."
    return bars(items, f"What became of it: {_listed(items)}.", caption)


def over_time(kept: Sequence[Appraisal], today: tuple[date, Decimal] | None, currency: str) -> Chart | None:
    """The totals of appraisals of the same things, oldest first, and today's; None of fewer than two."""
    points = [(one.on, one.total, f"appraisal {one.pk}") for one in kept]
    if today is not None:
        points.append((*today, "today's evidence"))
    points.sort(key=lambda point: point[0])
    if len(points) < 2:
        return None
    box = frame([float(on.toordinal()) for on, *_ in points], [float(total) for _, total, _ in points])
    places = [(float(on.toordinal()), float(total)) for on, total, _ in points]
    told = "; ".join(f"{on}: {total:,.2f}" for on, total, _ in points)
    return Chart(
        label=f"Worth over time in {currency}: {told}.",
        caption="Each dot is one appraisal of the same things, on the same basis. " + told,
        x_name="", y_name=currency, x_ticks=box.day_ticks(), y_ticks=box.y_ticks(), lines=((box.path(places), "line"),),
        dots=tuple(
            (box.x(x), box.y(y), f"{on}: {total:,.2f} {currency}, {name}", "sold")
            for (x, y), (on, total, name) in zip(places, points, strict=True)
        ),
    )  # fmt: skip


def _told(amount: Decimal | None) -> str:
    return "no evidence" if amount is None else f"{amount:,.2f}"


def _listed(items: Sequence[Item]) -> str:
    return "; ".join(f"{one.name} {one.told}" for one in items)
