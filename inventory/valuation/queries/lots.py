"""A sale list: lots that are proposed by what is here today, and lots that are kept; both in one shape."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from functools import cache, cached_property
from typing import Any

from django.db.models import Prefetch, QuerySet, prefetch_related_objects

from inventory.holdings.models import Item
from inventory.holdings.rules.hazard_words import short_words
from inventory.house.areas import thing_columns
from inventory.house.concerns import claims_on_many, relied_on_many
from inventory.house.money import Money
from inventory.pairing.queries.mates import mates_of_sets
from inventory.running.queries.together import told_of_many
from inventory.sets.models import Chassis, Fitting, Position
from inventory.valuation.models import LotSale, LotThing, Promise, SaleLot
from inventory.valuation.queries.belonging import STANDS_IN, TIED_TO, bonds_on
from inventory.valuation.queries.collection import collection
from inventory.valuation.queries.on_paper import Piece, described, in_parts, pieces
from inventory.valuation.queries.stated import Figure, Stated
from inventory.valuation.queries.subjects import EQUIPMENT
from inventory.valuation.queries.worth import added, told_amount
from inventory.valuation.rules.bases import FORCED_SALE
from inventory.valuation.rules.lots import CHEAP, DUD, JOB, SET, TOGETHER, Lot, Offer, Socket, propose, reserve_of
from tubes.queries import knowledge

NO_FORCED_SALE = "no sale here tells what they fetch when they must go at once, so no figure is given."
Like = Callable[[str], str]  # a type by the one name that stands for all of its names
SUMS = ("value", "low", "high", "forced_sale")
USUAL_JOB_BELOW = Decimal(10)
USUAL_SHARE, USUAL_SIZE, USUAL_SPARES = Decimal(80), 4, 1


@dataclass(frozen=True, slots=True)
class LotLine:
    """A lot. Money is in the currency of the list, None without evidence. ``kept``: its row, None of a proposed one.

    ``without``: things of it without evidence; with such a one there is no reserve, which may let a set go for its
    tubes. ``offers``: its things as the rule had them, of a proposed one.
    ``tested``: of a single tube what its last test said, whatever was seen of it before. ``money``: whether it is told
    what a lot of a kept sale was sold for.
    """

    number: int
    title: str
    pieces: tuple[Piece, ...]
    value: Decimal | None
    low: Decimal | None
    high: Decimal | None
    forced: Decimal | None
    reserve: Decimal | None
    without: int
    weight: str = ""
    kept: SaleLot | None = None
    offers: tuple[Offer, ...] = field(default=(), repr=False)
    tested: str = ""
    money: bool = True

    @property
    def tags(self) -> tuple[str, ...]:
        return tuple(one.tag for one in self.pieces)

    @property
    def hazards(self) -> tuple[str, ...]:
        """The short word of each hazard of its things."""
        return short_words(text for one in self.pieces for text in one.hazards)

    @property
    def sold_for(self) -> Money | None:
        return self.kept.price if self.kept and self.money else None

    def as_dict(self, *, bidders: bool = False) -> dict[str, Any]:
        """``bidders``: what is kept from them is null."""
        told: dict[str, Any] = {
            "lot": self.number, "title": self.title, "tags": list(self.tags), "value": told_amount(self.value),
            "low": told_amount(self.low), "high": told_amount(self.high), "forced_sale": told_amount(self.forced),
            "reserve": told_amount(self.reserve), "without_evidence": self.without, "hazards": list(self.hazards),
            "weight": self.weight or None, "last_test": self.tested or None,
        }  # fmt: skip
        if bidders:
            told |= dict.fromkeys((*SUMS, "reserve", "without_evidence"))
        if self.kept:
            told |= {"state": self.kept.state, "sold_for": str(self.sold_for) if self.sold_for else None}
        return told


@dataclass(frozen=True)
class SaleList:
    """Lots with what is said of the whole. ``stated``: the valuation of a proposed list; ``sale``: a kept one.

    ``left_out``: (thing, why). ``bidders``: as bidders may see it, without values and reserves.
    ``market``: where a forced sale was looked for.
    """

    lots: tuple[LotLine, ...]
    currency: str
    share: Decimal
    seller: str = ""
    commission: Decimal | None = None
    left_out: tuple[tuple[str, str], ...] = ()
    bidders: bool = False
    stated: Stated | None = None
    sale: LotSale | None = None
    market: str = ""

    @property
    def values(self) -> bool:
        return not self.bidders

    @cached_property
    def reserves(self) -> Decimal:
        return added(lot.reserve for lot in self.lots)

    @property
    def after_commission(self) -> Decimal | None:
        """What is left of all reserves when the commission is paid; None where none is known."""
        return None if self.commission is None else self.reserves * (100 - self.commission) / 100

    def as_dict(self) -> dict[str, Any]:
        """What bidders may not see is null, or an empty list, where the list is for them."""
        if self.bidders:
            told: dict[str, Any] = {"lots": [lot.as_dict(bidders=True) for lot in self.lots], "left_out": []}
            told |= {"seller": self.seller or None, "statement": [], "without_evidence": None}
            return told | dict.fromkeys(("reserve_pct", "reserves", "commission_pct", "after_commission"))
        return {
            "lots": [lot.as_dict() for lot in self.lots],
            "left_out": [{"thing": what, "reason": why} for what, why in self.left_out],
            "reserve_pct": f"{self.share:f}", "reserves": told_amount(self.reserves), "seller": self.seller or None,
            "commission_pct": None if self.commission is None else f"{self.commission:f}",
            "after_commission": told_amount(self.after_commission),
        }  # fmt: skip


# --- proposed ---------------------------------------------------------------------------------------------------------


def proposed(
    found: Stated, today: date, *, share: Decimal = USUAL_SHARE, size: int = USUAL_SIZE, spares: int = USUAL_SPARES,
    seller: str = "", commission: Decimal | None = None, bidders: bool = False, job_below: Decimal = USUAL_JOB_BELOW,
    known: dict[str, Piece] | None = None,
) -> SaleList:  # fmt: skip
    """Lots of what a valuation values, in a fixed number of queries. ``size``: tubes of a type and grade in a lot;
    ``job_below``: worth less than that, such lots go together.

    Beside each stands what it fetches in a forced sale, by the evidence of the same day (of an appraisal, too: that
    knows its own basis alone). Raises ValueError for a size below one.
    """
    known = known or pieces(found.figures)
    figures = [one for one in found.figures if one.tag in known]
    forced, market = _forced(found)
    bonds, undecided = _ties(today)
    barred = undecided | _barred([known[one.tag].item for one in figures])
    like = _likes()
    offers = [_offer(one, known[one.tag], forced, barred.get(one.tag, ""), like) for one in figures]
    told = propose(offers, bonds, _sockets(like), size=size, spares=spares, job_below=job_below)
    lots = _with_tests(_line(number, lot, known, share) for number, lot in enumerate(told.lots, 1))
    left_out = tuple((f"{known[tag].name} {tag}", why) for tag, why in told.left_out)
    return SaleList(lots, found.currency, share, seller, commission, left_out, bidders, found, market=market)


def _forced(found: Stated) -> tuple[dict[str, Decimal], str]:
    """By tag what things fetch in a forced sale, where sales tell that; and in which market that was looked for."""
    valued = collection(found.currency, found.on, basis=FORCED_SALE, real=found.real)
    of_sets = {line.thing.tag for line in valued.lines if line.subject is not None and line.subject.what in EQUIPMENT}
    figures = {
        line.thing.tag: line.amount
        for line in valued.lines
        if line.amount is not None and (valued.sets if line.thing.tag in of_sets else valued.market).market.told
    }
    told = [("Tubes", valued.market)] if len(valued.market.evidence) else []
    told += [("Sets and what goes with them", valued.sets)] if len(valued.sets.evidence) else []
    return figures, " ".join(
        f"{what}: {market.market.words if market.market.told else NO_FORCED_SALE}" for what, market in told
    )


def _offer(figure: Figure, piece: Piece, forced: dict[str, Decimal], barred: str, like_of: Like) -> Offer:
    like = _same_tube(piece, like_of) if figure.kind == Item.TUBE else ""
    return Offer(
        figure.tag, figure.kind, piece.name, like, figure.grade, figure.amount, figure.low, figure.high,
        forced.get(figure.tag), figure.counts, barred,
    )  # fmt: skip


def _same_tube(piece: Piece, like: Like) -> str:
    """What is the same tube under any of its names; empty where its type is not known."""
    return like(piece.item.tube.type.name) if piece.item.tube.type else ""


def _likes() -> Like:
    same_as = knowledge().kin.same_as
    return cache(lambda name: min(same_as(name) | {name}))


def _barred(items: Sequence[Item]) -> dict[str, str]:
    """By tag why things are not sold: gone, lent, not found, promised, counted on by a plan, in a lot already.

    What single tubes are the last good spares of is for the rule to say, which knows what is sold with them.
    """
    keys = {item.pk: item.tag for item in items}
    found: dict[str, str] = {}
    others = [item for item in items if item.kind != Item.TUBE]
    for key, words in (*relied_on_many(others).items(), *claims_on_many(items).items()):
        found[keys[key]] = f"is {'; '.join(words)}"
    rows = LotThing.objects.filter(lot__state=SaleLot.OFFERED, lot__struck="").select_related("lot__sale")
    for row in rows:
        if row.item_id in keys:
            found[keys[row.item_id]] = f"is in {row.lot}"
    for promise in Promise.objects.filter(struck=""):
        if promise.item_id in keys:
            found[keys[promise.item_id]] = f"is promised to {promise.to}"
    for item in items:
        if item.gone_on:
            found[item.tag] = f"left on {item.gone_on}"
        elif item.lent_to:
            found[item.tag] = f"is lent to {item.lent_to}"
        elif item.missed_on:
            found[item.tag] = f"is not to be found since {item.missed_on}"
    return found


def _ties(today: date) -> tuple[list[tuple[str, str]], dict[str, str]]:
    """What goes together, by tags; and by tag of a unit with which sets it goes, where nobody says with which.

    A unit goes with the set that it stands in, else with the set whose number it bears, else with the one that it is
    neutralized for.
    """
    bonds, mates = bonds_on(today).bonds, mates_of_sets(today)
    standing = {bond.one for bond in bonds if bond.sort == STANDS_IN}
    tied: dict[str, list[str]] = defaultdict(list)
    for bond in bonds:
        if bond.sort == TIED_TO and bond.one not in standing:
            tied[bond.one].append(bond.other)
    pairs = [(bond.one, bond.other) for bond in bonds if bond.sort != TIED_TO]
    pairs += [(tag, whole) for tag, whole in mates.items() if tag not in standing]
    pairs += [(tag, sets[0]) for tag, sets in tied.items() if tag not in mates and len(sets) == 1]
    open_ = {tag: sets for tag, sets in tied.items() if tag not in mates and len(sets) > 1}
    return pairs, {tag: f"goes with {', '.join(sets)}: say with which" for tag, sets in open_.items()}


def _sockets(like: Like) -> list[Socket]:
    """Every position of every set that is here, by the tube that it wants (three queries)."""
    sets = list(Chassis.objects.filter(item__gone_on__isnull=True).values_list("pk", "item__tag", "model_id"))
    filled = set(Fitting.objects.filter(until__isnull=True).values_list("chassis_id", "position_id"))
    positions: dict[int, list[tuple[int, str, str]]] = {}
    rows = Position.objects.filter(type__isnull=False).order_by("pk")
    for key, model, mark, name in rows.values_list("pk", "set_model_id", "mark", "type__name"):
        positions.setdefault(model, []).append((key, mark, like(name)))
    return [
        Socket(tag, mark, wanted, (chassis, key) not in filled)
        for chassis, tag, model in sets
        for key, mark, wanted in positions.get(model, ())
    ]


def _line(number: int, lot: Lot, known: dict[str, Piece], share: Decimal) -> LotLine:
    told = tuple(known[one.tag] for one in lot.offers)
    value, low, high = (lot.sum(name) for name in ("amount", "low", "high"))
    forced = None if any(one.forced is None for one in lot.counted) else lot.sum("forced")  # part of it is no figure
    return LotLine(
        number, _title(lot, told), told, value, low, high, forced, None if lot.without else reserve_of(low, share),
        lot.without,
        offers=lot.offers,
    )  # fmt: skip


def _title(lot: Lot, told: Sequence[Piece]) -> str:
    first, many = told[0], len(told)
    if lot.sort == SET:
        more = [f"{count} {words}" for count, words in _counted(told[1:])]
        with_it = f", with {', '.join(more)}" if more else ""
        return f"{first.name}{_number(first)}{with_it}"[:200]
    if lot.sort == JOB and many > 1:
        what = "parts" if first.item.kind == Item.PARTS else "duds" if lot.offers[0].grade == DUD else ""
        what = what or ("tubes" if lot.offers[0].like else "")
        named = {"parts": "parts of many kinds", "duds": "duds, sold as such", "tubes": CHEAP}.get(
            what, "tubes of unknown type"
        )
        return f"Job lot of {many}: {named}"
    if lot.sort == TOGETHER:
        same = len({one.name for one in told}) == 1
        return f"Together: {f'{many} × {first.name}' if same else ', '.join(one.name for one in told)}"[:200]
    grade = f", {lot.offers[0].grade}" if lot.offers[0].grade else ""
    return f"{many} × {first.name}{grade}" if many > 1 else f"{first.name}{_number(first)}{grade}"


def _number(piece: Piece) -> str:
    """The serial, where there is one that can be read."""
    serial = getattr(piece.row, "serial", "")
    return f" {serial}" if serial else ""


def _counted(told: Sequence[Piece]) -> list[tuple[int, str]]:
    words = {Item.TUBE: ("tube", "tubes"), Item.UNIT: ("plug-in unit", "plug-in units"), Item.CHASSIS: ("set", "sets")}
    found = []
    for kind in (Item.CHASSIS, Item.UNIT, Item.COMPANION, Item.TUBE, Item.PARTS):
        some = [one for one in told if one.item.kind == kind]
        if some and kind in words:
            found.append((len(some), words[kind][len(some) > 1]))
        elif some:
            found += [(1, one.name) for one in some]
    return found


# --- kept -------------------------------------------------------------------------------------------------------------


def sales_kept() -> QuerySet[LotSale]:
    """All sales, the latest first, with their lots (two queries)."""
    return LotSale.objects.prefetch_related("lots")


def kept_sale(sale: LotSale, *, bidders: bool = False, money: bool = True) -> SaleList:
    """A kept sale as it stands, in a fixed number of queries. ``money``: whether whoever asks sees what lots were sold
    for (``house.access.may_see_money``).
    """
    things = Prefetch("things", LotThing.objects.select_related("item").order_by("pk"))
    rows = list(sale.lots.filter(struck="").order_by("number"))  # type: ignore[attr-defined]
    for some in in_parts(rows):
        prefetch_related_objects(some, things)
    items = [thing.item for row in rows for thing in row.things.all()]
    known = {piece.tag: piece for piece in described(_fetched(items))}
    lots = _with_tests(replace(_kept_line(row, known), money=money) for row in rows)
    return SaleList(lots, sale.currency, sale.reserve_pct, sale.seller, sale.commission_pct, (), bidders, None, sale)


def _with_tests(lots: Iterable[LotLine]) -> tuple[LotLine, ...]:
    """Lots, those of one tube with what its last test said (a fixed number of queries)."""
    every = tuple(lots)
    single = {lot.number: lot.pieces[0].item.pk for lot in every if _is_one_tube(lot)}
    told = {key: f"last test {one.verdict.verdict}, {one.on}" for key, one in told_of_many(single.values()).items()}
    return tuple(replace(lot, tested=told.get(single.get(lot.number, 0), "")) for lot in every)


def _is_one_tube(lot: LotLine) -> bool:
    return len(lot.pieces) == 1 and lot.pieces[0].item.kind == Item.TUBE


def _fetched(items: Sequence[Item]) -> list[Item]:
    rows = Item.objects.select_related(*thing_columns())
    return [item for some in in_parts(items) for item in rows.filter(pk__in=[one.pk for one in some])]


def _kept_line(row: SaleLot, known: dict[str, Piece]) -> LotLine:
    things = list(row.things.all())  # type: ignore[attr-defined]
    told = tuple(known[thing.item.tag] for thing in things if thing.item.tag in known)
    without = sum(thing.counts and thing.amount is None for thing in things)
    return LotLine(
        row.number, row.title, told, row.value, row.low, row.high, row.forced, row.reserve, without, row.weight, row
    )
