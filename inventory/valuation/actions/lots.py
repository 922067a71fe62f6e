"""Changes of sales and their lots: kept, changed, sold, corrected, ended unsold, struck out."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.holdings.actions.locking import locked_all
from inventory.holdings.actions.parting import MOST_HOW, check_free, let_go
from inventory.holdings.actions.register import check_day
from inventory.holdings.models import Fact, Item, Loan
from inventory.holdings.queries.together import counted_words, left_behind_of, promises_told
from inventory.holdings.rules.facts import PROCEEDS
from inventory.house.concerns import kept_from_leaving
from inventory.house.money import Money
from inventory.house.records.actions import strike_out
from inventory.house.writing import person_or_none, refuse, write
from inventory.pairing.queries.mates import mates_of_sets
from inventory.sets.actions import take_out, unseat
from inventory.sets.models import Fitting, Seating
from inventory.valuation.models import LotSale, LotThing, SaleLot
from inventory.valuation.queries.lots import SaleList
from inventory.valuation.queries.sold_lots import lot_offers
from inventory.valuation.rules.lots import price_is_of, share_out
from inventory.valuation.rules.own import sold_for

REASON = 60  # letters of why things go all the same, in how each of them left


@transaction.atomic
def keep_sale(sale: LotSale, found: SaleList, *, by: Any) -> LotSale:
    """Keep a proposed list as a sale with its lots. Refuses an empty list, and what is offered already."""
    if not found.lots or found.stated is None:
        raise refuse("name", "There is nothing to sell in that.")
    sale.currency, sale.basis, sale.valued_on = found.currency, found.stated.basis, found.stated.on
    sale.reserve_pct, sale.seller, sale.commission_pct = found.share, found.seller, found.commission
    write(sale, by=by, reason="proposed")
    locked_all([piece.item for line in found.lots for piece in line.pieces])
    taken = LotThing.objects.filter(lot__state=SaleLot.OFFERED, lot__struck="").select_related("lot__sale", "item")
    tags = {tag for line in found.lots for tag in line.tags}
    if row := next((row for row in taken if row.item.tag in tags), None):
        raise refuse("name", f"{row.item.tag} is in {row.lot} already; look again.")
    for line in found.lots:
        lot = SaleLot(
            sale=sale, number=line.number, title=line.title[:200], value=line.value, low=line.low, high=line.high,
            forced=line.forced, reserve=line.reserve,
        )  # fmt: skip
        write(lot, by=by, reason="proposed")
        LotThing.objects.bulk_create(
            LotThing(lot=lot, item=piece.item, amount=offer.amount, counts=offer.counts)
            for piece, offer in zip(line.pieces, line.offers, strict=True)
        )
    return sale


@transaction.atomic
def save_sale(sale: LotSale, *, by: Any, reason: str = "") -> LotSale:
    """Write a change of a sale's name, day, place, seller or commission."""
    return write(sale, by=by, reason=reason)


@transaction.atomic
def save_lot(lot: SaleLot, *, by: Any, reason: str = "") -> SaleLot:
    """Write a change of a lot's title, reserve or weight."""
    return write(lot, by=by, reason=reason)


@transaction.atomic
def end_lot(lot: SaleLot, state: str, *, on: date, by: Any, note: str = "") -> SaleLot:
    """A lot was not sold, or was withdrawn: its things are free again."""
    fresh = _open(lot)
    check_day(on, "on", None)
    fresh.state, fresh.ended_on = state, on
    fresh.note = "\n".join(filter(None, (fresh.note, note.strip())))
    return write(fresh, by=by, reason=state)


@transaction.atomic
def sell_lot(
    lot: SaleLot, price: Money, *, on: date, venue: str, by: Any, why: str = "", today: date | None = None
) -> SaleLot:
    """A lot was sold: each of its things leaves the collection, with its share of the price where one can be told.

    Tubes and units of a set of the lot are taken out of it first. Refused where something of it is elsewhere, belongs
    to somebody else, has left; and without ``why`` where something that belongs with it stays behind, counts on it or
    was promised. Raises ValidationError naming the field.
    """
    check_day(on, "on", today)
    fresh = _open(lot)
    fresh.state, fresh.ended_on, fresh.venue = SaleLot.SOLD, on, venue.strip()
    fresh.sold_for, fresh.sold_currency = price.amount, price.currency
    write(fresh, by=by, reason="sold")  # first: its things are offered no more when it is asked who counts on them
    things = list(fresh.things.select_related("item").order_by("pk"))  # type: ignore[attr-defined]
    stays = _stays([thing.item_id for thing in things])
    items = locked_all([thing.item for thing in things])
    _check(items, on, why)
    _empty_sets(stays, on, by, today or on)
    told = _told_how(fresh, things)
    for item in sorted(items, key=lambda one: one.kind == Item.CHASSIS):  # what stood in a set goes before it
        check_free(item, "__all__")
        for reason in kept_from_leaving(item, on):
            raise refuse("on", reason)
        let_go(item, told(item, why.strip()), on=on, by=by)
        _say_proceeds(fresh, item, told.shares, by=by)
    return fresh


@transaction.atomic
def correct_sold(lot: SaleLot, price: Money, *, venue: str, by: Any, reason: str) -> SaleLot:
    """A lot was sold for another price, or elsewhere, than was written: what left with it is told the same.

    A thing that has come back since, or left otherwise, is left as it is. Raises ValidationError naming the field.
    """
    fresh = SaleLot.objects.select_for_update(of=("self",)).select_related("sale").get(pk=lot.pk)
    if fresh.state != SaleLot.SOLD:
        raise refuse("price", f"It is {fresh.state}, so it has no price.")
    fresh.venue, fresh.sold_for, fresh.sold_currency = venue.strip(), price.amount, price.currency
    write(fresh, by=by, reason=reason)
    things = list(fresh.things.select_related("item").order_by("pk"))  # type: ignore[attr-defined]
    told = _told_how(fresh, things)
    for item in locked_all([thing.item for thing in things]):
        if item.gone_on == fresh.ended_on and item.gone_how.startswith("sold "):
            _, _, why = item.gone_how.partition(f", lot {fresh.number}; ")
            item.gone_how = told(item, why)
            write(item, by=by, reason=f"{fresh} corrected: {reason}"[:100])
            _say_proceeds(fresh, item, told.shares, by=by, why=f"corrected: {reason}")
    return fresh


@dataclass(frozen=True)
class _Told:
    """How each thing of a sold lot left, by the thing and the reason why it went all the same."""

    lot: SaleLot
    price: Money
    shares: dict[str, Money]  # by tag; a thing contained in its set, or in one price with others, has none
    counts: dict[str, bool]

    def __call__(self, item: Item, why: str) -> str:
        return _how(self.lot, item, self.shares, self.counts[item.tag], why)


def _told_how(lot: SaleLot, things: Sequence[LotThing]) -> _Told:
    offers = lot_offers(things)
    price = Money(Decimal(lot.sold_for or 0), lot.sold_currency)
    of = price_is_of(offers)
    shares = {tag: Money(amount, price.currency) for tag, amount in share_out(price.amount, offers).items()}
    alone = {one.tag for one in of} if len(of) == 1 else None  # all else goes with it
    return _Told(lot, price, shares, {one.tag: one.counts if alone is None else one.tag in alone for one in offers})


def _say_proceeds(lot: SaleLot, item: Item, shares: dict[str, Money], *, by: Any, why: str = "") -> None:
    """Let the proceeds of a thing be its share of its lot, or none; what was said of them before is struck out."""
    of = f", lot {lot.number} of {lot.sale}"
    for fact in Fact.objects.filter(item=item, about=PROCEEDS, struck=""):
        strike_out(fact, why or "sold anew", by=by)
    if share := shares.get(item.tag):
        whole = f", its share of {lot.price}" if len(shares) > 1 else ""
        amount = Fact(
            item=item, about=PROCEEDS, text=f"{share}{whole}{of}", value=share.amount, currency=share.currency,
            by=person_or_none(by),
        )  # fmt: skip
        write(amount, by=by, reason=f"{lot} sold"[:100])


@transaction.atomic
def strike_lot(lot: SaleLot, why: str, *, by: Any) -> SaleLot:
    """A lot was written down by mistake: it counts no more, and what left with it is here again, without a place.

    A thing that left otherwise stays gone. What stood in a set stays out of it until somebody fits it again.
    """
    strike_out(lot, why, by=by)
    if lot.state == SaleLot.SOLD:
        for item in locked_all([thing.item for thing in lot.things.select_related("item")]):  # type: ignore[attr-defined]
            if item.gone_on == lot.ended_on:
                item.gone_on, item.gone_how = None, ""
                write(item, by=by, reason=f"{lot} struck out: {why}"[:100])
                _say_proceeds(lot, item, {}, by=by, why=why)
    return lot


def _open(lot: SaleLot) -> SaleLot:
    fresh = SaleLot.objects.select_for_update(of=("self",)).select_related("sale").get(pk=lot.pk)
    if fresh.state == SaleLot.SOLD:
        raise refuse("on", f"It was sold on {fresh.ended_on} for {fresh.price}.")
    if fresh.state != SaleLot.OFFERED:
        raise refuse("on", f"It is {fresh.state} since {fresh.ended_on}; offer it in a new sale.")
    return fresh


def _check(items: Sequence[Item], on: date, why: str) -> None:
    for item in items:
        if item.gone_on:
            raise refuse(
                "on", f"{item.tag} left on {item.gone_on}: {item.gone_how}. Take the lot back and offer it anew."
            )
        if item.lent_to:
            raise refuse("on", f"{item.tag} is lent to {item.lent_to}; take it back first.")
    owed = Loan.objects.filter(item__in=items, way=Loan.IN, ended__isnull=True).select_related("item").first()
    if owed:
        raise refuse("on", f"{owed.item.tag} belongs to {owed.who}, here on loan; it is not yours to sell.")
    asked = (left_behind_of(items), counted_words(items), promises_told(items), _in_the_value_of(items, on))
    if not why.strip() and any(asked):
        raise refuse("why", " ".join(filter(None, asked)))


def _in_the_value_of(items: Sequence[Item], on: date) -> str:
    """Sets that stay, of which things of the lot are a part by their numbers, and in whose value they were counted."""
    tags, mates = {item.tag for item in items}, mates_of_sets(on)
    wholes = {tag: mates[tag] for tag in sorted(tags) if mates.get(tag, tag) not in tags}
    told = "; ".join(f"{tag} with {whole}" for tag, whole in wholes.items())
    words = promises_told(list(Item.objects.filter(tag__in=wholes.values())))
    return f"These stay together and are valued as one: {told}. Write down why it goes alone. {words}" if told else ""


def _stays(keys: Sequence[int]) -> tuple[list[Fitting], list[Seating]]:
    """Stays of tubes and units of the lot in sets of the lot, locked before the things, as everybody does."""
    fittings = Fitting.objects.filter(until__isnull=True, tube__in=keys, chassis__in=keys)
    seatings = Seating.objects.filter(until__isnull=True, unit__in=keys, chassis__in=keys)
    return (
        list(fittings.select_for_update(of=("self",), no_key=True).order_by("pk")),
        list(seatings.select_for_update(of=("self",), no_key=True).order_by("pk")),
    )


def _empty_sets(stays: tuple[list[Fitting], list[Seating]], on: date, by: Any, today: date) -> None:
    """Take tubes and units of the lot out of the sets of the lot, on the day of the sale."""
    fittings, seatings = stays
    for fitting in fittings:
        take_out(fitting, until=on, today=today, by=by)
    for seating in seatings:
        unseat(seating, until=on, today=today, by=by, why="sold with it")


def _how(lot: SaleLot, item: Item, shares: dict[str, Money], counts: bool, why: str) -> str:
    """How a thing left, in words of which the house reads its price; a thing contained in its set has none."""
    at = f" at {lot.venue}" if lot.venue else ""
    share = shares.get(item.tag)
    if share:
        whole = "" if len(shares) == 1 else ", its share"
        how = f"sold for {share}{whole}{at}, lot {lot.number}"
    else:
        with_what = "in one price with others" if counts else "with its set"
        how = f"sold {with_what}{at}, lot {lot.number}"
    how = f"{how}; {why[:REASON]}" if why else how
    if len(how) > MOST_HOW:
        raise refuse("venue", f"This makes {len(how)} letters of how each thing left; {MOST_HOW} have room.")
    if sold_for(how) != share:
        raise refuse("venue", f"In {how!r} the price would be lost; write the place and the reason without amounts.")
    return how
