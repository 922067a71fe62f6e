"""What papers say of a thing beside its value: what it is, its maker, serial, condition, photograph, how it came."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, Q

from inventory.holdings.models import Fact, Item, Paper
from inventory.holdings.queries.labels import hazards_of
from inventory.holdings.rules.facts import ACQUIRED, PAID
from inventory.house.areas import thing_columns
from inventory.valuation.queries.stated import Figure

AT_ONCE = 900  # keys in one condition: SQLite takes no more than 1,000 by default


@dataclass(frozen=True, slots=True)
class Piece:
    """A thing with its figure. ``acquired``, ``paid``: as the register says, in words. ``proofs``: papers of it.

    ``hazards``: words of what can hurt, those of its kind among them.
    """

    figure: Figure
    item: Item
    photograph: Paper | None = None
    acquired: str = ""
    paid: str = ""
    proofs: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()

    @property
    def tag(self) -> str:
        return self.figure.tag

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


def pieces(figures: Iterable[Figure]) -> dict[str, Piece]:
    """By tag all that papers say of things, in a fixed number of queries for each ``AT_ONCE`` things."""
    by_tag = {one.tag: one for one in figures}
    items = _items(list(by_tag))
    facts = _facts([item.pk for item in items])
    return {item.tag: _piece(by_tag[item.tag], item, facts.get(item.pk, ())) for item in items}


def described(items: Sequence[Item]) -> list[Piece]:
    """The same of things that have no figure: what is here on loan, what stands in a kept lot."""
    figures = [Figure(item.tag, item.words, item.kind) for item in items]
    found = pieces(figures)
    return [found[one.tag] for one in figures if one.tag in found]


def _items(tags: list[str]) -> list[Item]:
    papers = Prefetch("papers", Paper.objects.order_by("dated", "pk"))
    rows = Item.objects.select_related(*thing_columns()).prefetch_related("hazards", papers).order_by("tag")
    if len(tags) > AT_ONCE:  # nearly all of the register: asked for as a whole
        wanted = set(tags)
        return [item for item in rows if item.tag in wanted]
    return list(rows.filter(tag__in=tags))


def _facts(keys: list[int]) -> dict[int, list[Fact]]:
    rows = Fact._base_manager.filter(Q(about=ACQUIRED) | Q(about=PAID), struck="").order_by("pk")
    found: dict[int, list[Fact]] = defaultdict(list)
    for fact in rows if len(keys) > AT_ONCE else rows.filter(item__in=keys):
        found[fact.item_id].append(fact)
    return found


def _piece(figure: Figure, item: Item, facts: Sequence[Fact]) -> Piece:
    papers = list(item.papers.all())  # type: ignore[attr-defined]
    pictures = [one for one in papers if one.kind == Paper.PHOTOGRAPH]
    proofs = [
        f"{one.caption or 'paper'}{f', {one.dated}' if one.dated else ''}" for one in papers if one.kind == Paper.PAPER
    ]
    return Piece(
        figure, item, pictures[-1] if pictures else None, _acquired(item.row, facts), _paid(facts), tuple(proofs),
        hazards_of(item),
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
