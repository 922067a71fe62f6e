"""What papers say of a thing beside its value: what it is, its maker, serial, condition, photograph, how it came."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db.models import Prefetch, Q, prefetch_related_objects

from inventory.holdings.models import Fact, Item, Loan, Paper
from inventory.holdings.queries.hazard_grounds import HAZARD_FACTS, grounds_beside
from inventory.holdings.queries.labels import hazards_of
from inventory.holdings.rules.facts import ACQUIRED, PAID
from inventory.house.areas import thing_columns
from inventory.valuation.queries.stated import Figure

Row = TypeVar("Row")
AT_ONCE = 900  # keys in one condition: SQLite takes no more than 1,000 by default


@dataclass(frozen=True, slots=True)
class Piece:
    """A thing with its figure. ``acquired``, ``paid``: as the register says, in words. ``proofs``: papers of it.

    ``photographs``: the latest last. ``hazards``: words of what can hurt, those of its kind among them.
    """

    figure: Figure
    item: Item
    photographs: tuple[Paper, ...] = ()
    acquired: str = ""
    paid: str = ""
    proofs: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()

    @property
    def tag(self) -> str:
        return self.figure.tag

    @property
    def photograph(self) -> Paper | None:
        """The latest."""
        return self.photographs[-1] if self.photographs else None

    @property
    def away(self) -> str:
        """Why it is not where it belongs today: it left, it was not found, it is lent. Empty of what is here."""
        item = self.item
        if item.gone_on:
            return f"left on {item.gone_on}{f', {item.gone_way}' if item.gone_way else ''}"
        lent = f"lent to {item.lent_to}{f' since {item.lent_on}' if item.lent_on else ''}" if item.lent_to else ""
        missed = f"not found on {item.missed_on}" if item.missed_on else ""
        return ", ".join(filter(None, (lent, missed)))

    @property
    def row(self) -> Any:
        return self.item.row

    @property
    def maker(self) -> str:
        return str(getattr(self.row, "maker", ""))

    @property
    def serial(self) -> str:
        """The serial as read, or why there is none; empty of what bears none."""
        return str(getattr(self.row, "serial_text", ""))

    @property
    def name(self) -> str:
        """Its type or model; of a lot of parts what it is."""
        return str(self.row) if self.item.kind == Item.PARTS else str(getattr(self.row, "label_name", self.figure.what))

    @property
    def condition(self) -> str:
        """As seen, on one line: of a set or a unit its note, since nothing else says it."""
        row = self.row
        words = getattr(row, "condition", None)
        return " ".join(str(getattr(row, "note", "") if words is None else words).split())

    @property
    def model_kind(self) -> str:
        """Of a set what sort of set it is."""
        return str(self.item.chassis.model.kind) if self.item.kind == Item.CHASSIS else ""


def in_parts(rows: Sequence[Row]) -> Iterator[Sequence[Row]]:
    """Rows, ``AT_ONCE`` at a time."""
    return (rows[at : at + AT_ONCE] for at in range(0, len(rows), AT_ONCE))


def pieces(figures: Iterable[Figure]) -> dict[str, Piece]:
    """By tag all that papers say of things, in a fixed number of queries for each ``AT_ONCE`` things."""
    by_tag = {one.tag: one for one in figures}
    items = _items(list(by_tag))
    facts, beside = _facts([item.pk for item in items]), grounds_beside(items)
    return {
        item.tag: _piece(by_tag[item.tag], item, facts.get(item.pk, ()), hazards_of(item, beside.get(item.pk, ())))
        for item in items
    }


def described(items: Sequence[Item]) -> list[Piece]:
    """The same of things that have no figure: what is here on loan, what stands in a kept lot."""
    figures = [Figure(item.tag, item.words, item.kind) for item in items]
    found = pieces(figures)
    return [found[one.tag] for one in figures if one.tag in found]


def on_loan_here(place: str = "") -> list[tuple[Loan, Figure]]:
    """What is here on loan and nobody's to insure as his own, to inherit or to sell; only what is in a place by its
    path, or below it (one query).
    """
    rows = Loan.objects.filter(way=Loan.IN, ended__isnull=True, item__gone_on__isnull=True)
    every = rows.select_related("item", *thing_columns("item__")).order_by("who", "item__tag")
    found = []
    for loan in every:
        path = loan.item.place.path if loan.item.place else ""
        if not place or path == place or path.startswith(f"{place} / "):
            found.append((loan, Figure(loan.item.tag, loan.item.words, loan.item.kind, place=path)))
    return found


def borrowed_told(loan: Loan, piece: Piece) -> dict[str, Any]:
    """What is here on loan, as JSON."""
    return {
        "tag": piece.tag, "what": piece.name, "belongs_to": loan.who, "due": loan.due and str(loan.due),
        "place": piece.item.place.path if piece.item.place else None,
    }  # fmt: skip


def _items(tags: list[str]) -> list[Item]:
    papers = Prefetch("papers", Paper.objects.order_by("dated", "pk"))
    rows = Item.objects.select_related(*thing_columns()).order_by("tag")
    if len(tags) > AT_ONCE:  # nearly all of the register: asked for as a whole
        wanted = set(tags)
        found = [item for item in rows if item.tag in wanted]
    else:
        found = list(rows.filter(tag__in=tags))
    for some in in_parts(found):
        prefetch_related_objects(some, "hazards", HAZARD_FACTS, papers)
    return found


def _facts(keys: list[int]) -> dict[int, list[Fact]]:
    rows = Fact._base_manager.filter(Q(about=ACQUIRED) | Q(about=PAID), struck="").order_by("pk")
    found: dict[int, list[Fact]] = defaultdict(list)
    for fact in rows if len(keys) > AT_ONCE else rows.filter(item__in=keys):
        found[fact.item_id].append(fact)
    return found


def _piece(figure: Figure, item: Item, facts: Sequence[Fact], hazards: tuple[str, ...]) -> Piece:
    papers = list(item.papers.all())  # type: ignore[attr-defined]
    pictures = tuple(one for one in papers if one.kind == Paper.PHOTOGRAPH)
    proofs = [
        f"{one.caption or 'paper'}{f', {one.dated}' if one.dated else ''}" for one in papers if one.kind == Paper.PAPER
    ]
    return Piece(
        figure, item, pictures, _acquired(item.row, facts), _paid(facts), tuple(proofs),
        hazards,
    )  # fmt: skip


def _acquired(row: Any, facts: Sequence[Fact]) -> str:
    """The day on which it came, how and from whom."""
    day = getattr(row, "acquired_on", None)
    told = [fact.words for fact in facts if fact.about == ACQUIRED]
    when = str(day) if day else told[-1] if told else ""
    ways = (when, getattr(row, "acquired_how", ""), getattr(row, "acquired_from", ""))
    return ", ".join(filter(None, ways))


def _paid(facts: Sequence[Fact]) -> str:
    told = [fact.words for fact in facts if fact.about == PAID]
    return told[-1] if told else ""
