"""The evidence for prices: what was written down, and the keeper's own purchases and sales, as facts for the rules."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery

from inventory.holdings.models import Fact, Item, Tube
from inventory.holdings.queries.coming import never_there
from inventory.holdings.rules.facts import ACQUIRED, PAID, PROCEEDS
from inventory.holdings.rules.prices import EACH, LOT, ROW
from inventory.holdings.rules.ways import SOLD as SOLD_OUT
from inventory.holdings.rules.ways import way_out
from inventory.house.currencies import is_currency
from inventory.house.money import Money
from inventory.valuation.models import SUBJECTS, PriceEvidence
from inventory.valuation.queries.money import price_level, rates
from inventory.valuation.queries.sold_lots import THING, LotPrice, sold_lots
from inventory.valuation.rules import words
from inventory.valuation.rules.entry import price_each
from inventory.valuation.rules.own import grade_of, sold_for
from inventory.valuation.rules.sale import OWN, Brought, Exchange, Sale

_COLUMNS = (
    "pk", "on", "designation", "type__name", "set_model__name", "grade", "kind", "venue", "currency", "amount",
    "quantity", "premium_pct", "postage", "arms_length", "source", "note", "unit_model__name",
    "companion_kind__name", "companion_kind__set_model__name",
)  # fmt: skip
AT_ONCE = 900  # rows by their numbers in one query


def exchange(currency: str, on: date, *, real: bool = False) -> Exchange:
    """What prices are brought into for an answer. Raises ValueError for a code that is no currency."""
    return Exchange(Money(Decimal(0), currency).currency, on, rates(), price_level() if real else None)


@dataclass(frozen=True, slots=True)
class Of:
    """What evidence is asked for, by names; ``unsettled``: what is of nothing that is known."""

    types: Collection[str] = ()
    set_models: Collection[str] = ()
    unit_models: Collection[str] = ()
    companions: Collection[str] = ()
    unsettled: bool = False

    def written(self) -> Q:
        """Of rows of price evidence."""
        of = Q(type__name__in=self.types) | Q(set_model__name__in=self.set_models) | self._companions("companion_kind")
        of |= Q(unit_model__name__in=self.unit_models)
        return of | Q(**{f"{name}__isnull": True for name in SUBJECTS}) if self.unsettled else of

    def things(self, way: str = "") -> Q:
        """Of things of the register, or of what leads to them by ``way``."""
        of = Q(**{f"{way}tube__type__name__in": self.types}) | self._companions(f"{way}companion__kind")
        of |= Q(**{f"{way}chassis__model__name__in": self.set_models})
        of |= Q(**{f"{way}pluginunit__model__name__in": self.unit_models})
        loose = Q(**{f"{way}tube__isnull": False, f"{way}tube__type__isnull": True})
        return of | loose if self.unsettled else of

    def _companions(self, way: str) -> Q:
        of = Q(pk__in=())
        for parts in (name.split(" of ") for name in self.companions):
            for at in range(1, len(parts)):  # either name may hold the word
                kind, model = " of ".join(parts[:at]), " of ".join(parts[at:])
                of |= Q(**{f"{way}__name": kind, f"{way}__set_model__name": model})
        return of


def sales(of: Of | None = None, *, own: bool = True) -> list[Sale]:
    """All evidence that is not struck out, oldest first; of everything without ``of``.

    With the keeper's own purchases and sales, unless not ``own``. Asking prices, prices not at arm's length and rows
    of no settled type are among them: whoever asks says why they do not count. Four queries.
    """
    found = [*_written(of.written() if of else Q()), *(own_sales(of) if own else ())]
    return sorted(found, key=lambda sale: (sale.on or date.min, sale.row or 0, sale.name))


def brought(found: Iterable[Sale], currency: str, on: date, *, real: bool = False) -> list[Brought]:
    """Sales in one currency as of a valuation date. Raises ValueError for a code that is no currency."""
    return list(map(exchange(currency, on, real=real).brought, found))


def written_sales(rows: Sequence[int]) -> dict[int, Sale]:
    """Rows of price evidence by their numbers (a query for every ``AT_ONCE``)."""
    parts = (rows[at : at + AT_ONCE] for at in range(0, len(rows), AT_ONCE))
    return {sale.row: sale for part in parts for sale in _written(Q(pk__in=part)) if sale.row is not None}


def _written(of: Q) -> Iterator[Sale]:
    rows: QuerySet[Any, Any] = PriceEvidence.objects.filter(of, struck="").order_by("on", "pk").values_list(*_COLUMNS)
    for row in rows.iterator(chunk_size=5000):
        yield _sale(*row)


def _sale(
    row: int, on: date, designation: str, type_name: str | None, model: str | None, grade: str, kind: str, venue: str,
    currency: str, amount: Decimal, quantity: int, premium: Decimal | None, postage: Decimal | None, arms_length: str,
    source: str, note: str, unit: str | None, companion: str | None, companion_of: str | None,
) -> Sale:  # fmt: skip
    money = Money(amount, currency)
    return Sale(
        row, on, designation, type_name or "", model or "", grade, kind, venue, money, quantity,
        price_each(money, quantity, premium), None if postage is None else Money(postage, currency) / quantity,
        premium, arms_length, False, source, note, f"price evidence {row}", unit or "",
        companion_name(companion, companion_of),
    )  # fmt: skip


def companion_name(kind: str | None, set_model: str | None) -> str:
    """What a book or coil set is called in evidence, as ``str`` of its kind; empty without one."""
    return f"{kind} of {set_model}" if kind else ""


# --- the keeper's own -----------------------------------------------------------------------------------------------


def own_sales(of: Of | None = None) -> list[Sale]:
    """What the keeper paid for things of the register, and sold them for, where the price is known.

    The grade of what was bought is that with which the tube came into the register, whatever became of it since; of
    what was sold that which it left with. A purchase of no known day is told, and never counts. A lot of like things is
    one sale of so many, one of unlike things no evidence. Computed at every asking, never kept (five queries).
    """
    facts = Fact._base_manager.filter(of.things("item__") if of else Q(), struck="")
    prices, in_lots = sold_lots(of.things("item__") if of else None)
    gone = _sold(Item.objects.filter(of.things() if of else Q()), in_lots)
    return [*_bought(facts), *gone, *map(_of_lot, prices)]


def _bought(told: QuerySet[Fact]) -> Iterator[Sale]:
    acquired = told.filter(about=ACQUIRED, precision="day", estimated=False).order_by("-pk")
    days: dict[int, Any] = dict(acquired.values_list("item_id", "first"))
    paid = told.filter(about=PAID, value__gt=0).exclude(currency="").exclude(per=ROW).exclude(per="", of_count__gt=1)
    paid = paid.exclude(never_there("item__"))  # what never was here was never bought
    thing: dict[str, Any] = {name: F(f"item__{way}") for name, way in THING.items()}
    rows: Any = paid.exclude(per=LOT, of_count__isnull=True).order_by("pk").values(
        "item_id", "value", "currency", "per", "of_count", **thing | _as_entered()
    )  # fmt: skip
    for fact in {fact["item_id"]: fact for fact in rows}.values():  # a thing is bought once: the last that was entered
        on = fact["acquired"] or days.get(fact["item_id"])
        if is_currency(fact["currency"]) and _bears_prices(fact):
            quantity = fact["of_count"] if fact["per"] == LOT else 1
            yield _own(fact, on, Money(fact["value"], fact["currency"]), quantity or 1, "paid for")


def _as_entered() -> dict[str, Subquery]:
    """State and condition of a tube as they were first written down: no later test says how it was bought."""
    written: Any = Tube.history.model.objects  # type: ignore[attr-defined]
    rows = written.filter(item_id=OuterRef("item_id")).order_by("history_id")
    return {name: Subquery(rows.values(name)[:1]) for name in ("state", "condition")}


def _sold(things: QuerySet[Item], in_lots: Collection[int]) -> Iterator[Sale]:
    """What things were sold for: the proceeds that are on record; only where none are, the words of how one left."""
    fetched = Fact._base_manager.filter(item=OuterRef("pk"), about=PROCEEDS, struck="").order_by("-pk")
    told = {name: Subquery(fetched.values(name)[:1]) for name in ("value", "currency", "per")}
    gone = things.filter(gone_on__isnull=False).exclude(never_there())
    gone = gone.filter(Q(gone_how__icontains="sold") | Exists(fetched)).order_by("tag")
    names = {name: F(way) for name, way in THING.items() if name != way}
    rows: Any = gone.values("pk", "tag", "gone_on", "gone_how", **names, **told)
    for thing in rows:
        if thing["pk"] not in in_lots and (money := _fetched(thing)) and _bears_prices(thing):
            yield _own(thing, thing["gone_on"], money, 1, "sold,")


def _fetched(thing: Any) -> Money | None:
    """What one thing was sold for; None where it left otherwise, or its price is not known for certain."""
    if thing["per"] is None:
        return sold_for(thing["gone_how"])
    sold = way_out(thing["gone_how"]) == SOLD_OUT and thing["per"] in ("", EACH)
    return Money(thing["value"], thing["currency"]) if sold and thing["value"] and thing["currency"] else None


def _of_lot(one: LotPrice) -> Sale:
    return replace(_own(one.thing, one.on, one.money, one.quantity, f"sold, {one.lot}:"), kind=one.kind)


def _bears_prices(thing: Any) -> bool:
    """Whether it is a tube, a set, a unit or a companion."""
    return any(thing[name] is not None for name in ("marked", "model", "unit_name", "belonging"))


def _own(thing: Any, on: date | None, money: Money, quantity: int, how: str) -> Sale:
    tube = thing["marked"] is not None
    grade = grade_of(thing["state"], thing["condition"] or "") if tube and thing["state"] else ""
    names = thing["model"] or "", thing["unit_name"] or "", companion_name(thing["belonging"], thing["belongs_to"])
    model, unit, companion = names
    return Sale(
        None, on, thing["marked"] if tube else "".join(names), thing["type_name"] or "", model, grade, words.SOLD, "",
        money, quantity, money / quantity, own=True, source=f"{OWN} register",
        where_from=f"{OWN}: {how} {thing['tag']}", unit_model=unit, companion=companion,
    )  # fmt: skip
