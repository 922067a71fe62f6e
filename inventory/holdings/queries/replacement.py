"""What of the stock can stand in for a part in words, alone or put together, and why the rest cannot."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

from django.db.models import Q, QuerySet, prefetch_related_objects

from inventory.holdings.models import Loan, PartLot
from inventory.holdings.queries.hazard_grounds import HAZARD_FACTS
from inventory.holdings.queries.labels import hazards_of
from inventory.holdings.queries.parts import part_lots
from inventory.holdings.queries.stand_ins import own_words_on, stand_ins_for
from inventory.holdings.rules.combining.combine import Combined, combine
from inventory.holdings.rules.combining.sharing import ADDED, StockPart
from inventory.holdings.rules.part_kinds import (
    KINDS,
    PartFigures,
    all_words_of,
    kinds_alike,
    over_rated,
    show_value,
    sounds_like,
    words_missing,
)
from inventory.holdings.rules.part_text import PartTextFault, read_part
from inventory.holdings.rules.replacement import (
    Fit,
    Wanted,
    figures_called,
    fit,
    hazards_minded,
    may_combine,
    wanted_of,
)
from inventory.holdings.rules.stand_ins import StandIn
from inventory.house.concerns import Claim, claims_of_many
from inventory.house.words_on_parts import WordOnPart

MOST_NAMED = 50
READ_FROM_WORDS = "what it is was read from its words: look at it, and give it its kind by Change on its page"
NO_KIND = "no kind of part is given on them, so they were not looked at: give each its kind, by Change on its page"
UNNAMED = "no kind of part is given on it, and by its words it could serve: give it its kind, by Change on its page"


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

    @property
    def no_kind(self) -> str:
        """What is to say of lots that were not looked at; empty where there are none."""
        number = self.without_kind
        return f"{number} lot{'' if number == 1 else 's'}: {NO_KIND}" if number else ""

    @property
    def cautions(self) -> tuple[str, ...]:
        """What goes for the place, whatever part is taken."""
        return self.wanted.place.cautions

    def cut(self, most: int) -> "Replacement":
        """The same with shorter lists of lots."""
        return replace(self, single=self.single[:most], why_not=self.why_not[:most])

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
        }  # fmt: skip


_UNITS = (("volts", "V"), ("watts", "W"), ("amps", "A"))


def find_part(text: str, most: int = MOST_NAMED) -> Replacement:
    """What of the stock may stand in for a part in words, such as ``0.01 mfd 400 V bypass``.

    A fixed number of queries. Raises PartTextFault where the text names no part. Reserved, lent, missed,
    borrowed and bad pieces do not count, nor what nobody counted, and are told.
    """
    wanted = wanted_of(read_part(text))
    lots = list(_looked_at(wanted))
    claims = claims_of_many(lot.pk for lot in lots)
    owed = dict(Loan.objects.filter(way=Loan.IN, ended__isnull=True).values_list("item_id", "who"))
    fits = cache(partial(fit, wanted))  # few kinds of parts, many lots
    said = [one for lot in lots if (one := _said(wanted, lot, claims.get(lot.pk, ()), owed, fits)) is not None]
    serving = sorted((one for one in said if not one.against), key=lambda one: _nearness(wanted, one))
    refused = sorted((one for one in said if one.against), key=lambda one: (len(one.against), *_nearness(wanted, one)))
    combined = _together(wanted, said, most)
    served = serving or (combined and combined.combinations)
    named = serving[:most]
    borne = _hazards([one.lot for one in named], combined, lots)
    combined = _with_hazards(combined, borne)
    single = tuple(_bearing(one, borne.get(one.lot.tag, ())) for one in named)
    return Replacement(
        text, wanted, single, tuple(refused[:most]), combined, len(serving), len(refused),
        () if served else stand_ins_for(wanted.figures, text), () if served else own_words_on(wanted.figures, text),
        _without_kind(said),
    )  # fmt: skip


def _hazards(
    named: Sequence[PartLot], combined: Combined | None, lots: Sequence[PartLot]
) -> dict[str, tuple[str, ...]]:
    """The hazards of each lot that is offered, alone or put together, by its tag (two queries)."""
    pieces = (part for one in (combined.combinations if combined else ()) for part in one.parts)
    tags = {lot.tag for lot in named} | {tag for part in pieces for tag in part.lot.split(", ")}
    items = [lot.item for lot in lots if lot.tag in tags]
    prefetch_related_objects(items, "hazards", HAZARD_FACTS)
    return {item.tag: found for item in items if (found := hazards_of(item))}


def _bearing(one: LotSaid, hazards: tuple[str, ...]) -> LotSaid:
    """The same with its hazards, which are to be minded before it is taken out."""
    return replace(one, hazards=hazards, cares=(hazards_minded(hazards), *one.cares)) if hazards else one


def _with_hazards(combined: Combined | None, borne: Mapping[str, tuple[str, ...]]) -> Combined | None:
    if combined is None or not borne:
        return combined
    told = []
    for one in combined.combinations:
        tags = dict.fromkeys(tag for part in one.parts for tag in part.lot.split(", ") if tag in borne)
        told.append(replace(one, cautions=(*(f"{tag}: {hazards_minded(borne[tag])}." for tag in tags), *one.cautions)))
    return replace(combined, combinations=tuple(told))


def _without_kind(said: Sequence[LotSaid]) -> int:
    """How many lots bear no kind of part and were not said anything of (one query)."""
    return part_lots().filter(type__isnull=True).count() - sum(one.lot.type is None for one in said)


def _looked_at(wanted: Wanted) -> QuerySet[PartLot]:
    """Lots of the kind, and those that bear no kind and name it in words."""
    named = Q()
    for word in all_words_of(wanted.figures.kind):
        named |= Q(name__icontains=word) | Q(value__icontains=word)
    rows = part_lots().filter(Q(type__kind__in=kinds_alike(wanted.figures.kind)) | Q(named, type__isnull=True))
    return rows.select_related("type").order_by("item_id")


def _said(
    wanted: Wanted, lot: PartLot, claims: Sequence[Claim], owed: Mapping[int, str],
    fits: Callable[[PartFigures], Fit],
) -> LotSaid | None:  # fmt: skip
    """What is said of a lot; None of one without a kind whose words are of another part."""
    there, free, beside = _there(lot, claims, owed)
    if lot.type is None and not KINDS[wanted.figures.kind].unit:
        return _by_words(wanted, lot, (tuple(there), free, beside))
    if lot.type is None:
        sounds = sounds_like(wanted.figures, f"{lot.name} {lot.value}") and not _unsaid(wanted, lot)
        return LotSaid(lot, free, (UNNAMED, *there)) if sounds else None
    found = fits(_figures(lot)) if not (missing := _unsaid(wanted, lot)) else Fit((missing,), (), ())
    against = (*found.against, *there)
    cares = found.cares
    if lot.to_count and not against:
        cares = (*cares, "how many there are is a guess: count them first")
    return LotSaid(lot, 0 if there else free, against, cares, found.why, beside)


def _by_words(wanted: Wanted, lot: PartLot, at_hand: tuple[tuple[str, ...], int, tuple[str, ...]]) -> LotSaid | None:
    """What is said of a lot without a kind where the wanted kind has no value, so that words are all there is."""
    there, free, beside = at_hand
    try:
        figures = read_part(f"{lot.name} {lot.value}").figures
    except PartTextFault:
        return None
    if figures.kind not in kinds_alike(wanted.figures.kind):
        return None
    found = fit(wanted, figures)
    against = (*found.against, *filter(None, (_unsaid(wanted, lot),)), *there)
    return LotSaid(lot, 0 if there else free, against, (*found.cares, READ_FROM_WORDS), found.why, beside)


def _figures(lot: PartLot) -> PartFigures:
    """The figures of the kind of a lot; where that names no construction, the one that the lot is called by."""
    assert lot.type is not None
    return figures_called(lot.type.figures, lot.name)


def _unsaid(wanted: Wanted, lot: PartLot) -> str:
    """Which words that are asked for stand nowhere on a lot; empty where all do."""
    if not wanted.words:
        return ""
    said = f"{lot.name} {lot.value} {lot.type or ''} {lot.note}"
    missing = words_missing(wanted.words, said)
    return f"nothing on it says {', '.join(missing)}" if missing else ""


def _there(lot: PartLot, claims: Sequence[Claim], owed: Mapping[int, str]) -> tuple[list[str], int, tuple[str, ...]]:
    """Why none of a lot can be had, how many can, and what of it does not count."""
    against, item, least = [], lot.item, lot.least or 0
    if item.lent_to:
        against.append(f"lent to {item.lent_to}")
    if item.missed_on:
        against.append(f"not found at the stock-take of {item.missed_on}")
    if lot.pk in owed:
        against.append(f"on loan here from {owed[lot.pk]}")
    kept = sum(least if claim.number is None else claim.number for claim in claims)
    beside = [f"{claim.number or 'all'} {claim.text}" for claim in claims]
    if lot.duds:
        beside.append(f"{lot.duds} of it known to be bad")
    free = max(least - kept, 0)
    if lot.least is None:
        against.append("how many there are is not known: count them first")
    elif not free:
        against.append("; ".join(beside) if kept else "none of it is left" + "".join(f"; {one}" for one in beside))
    return against, free, tuple(beside)


def _nearness(wanted: Wanted, one: LotSaid) -> tuple[float, float, int]:
    """Nearest value first, then the one that is least over its ratings, then the first on record."""
    asked, kind = wanted.figures, one.lot.type
    if kind is None or not asked.value or not kind.value:
        return (0.0 if not asked.value else math.inf, 0.0, one.lot.pk)
    return (round(abs(math.log(kind.value / asked.value)), 9), over_rated(asked, kind.figures), one.lot.pk)


def _together(wanted: Wanted, said: Sequence[LotSaid], most: int) -> Combined | None:
    """Two or three pieces of the lots that may be put together at that place."""
    asked = _as_added(wanted.figures)
    if asked.kind not in ADDED or asked.value is None:
        return None
    stock = []
    for one in said:
        kind = one.lot.type
        if not one.free or kind is None or not kind.value:
            continue
        figures = _figures(one.lot)
        if may_combine(wanted, figures):
            stock.append(StockPart(
                one.lot.tag, kind.value, one.free, kind.tolerance_pct, kind.volts, kind.watts, kind.amps,
                figures.construction,
            ))  # fmt: skip
    return combine(asked, stock, most, needed=True)


def _as_added(asked: PartFigures) -> PartFigures:
    """What is asked by the kind whose values are added: a choke as an inductor, unless a voltage on it is asked."""
    same = KINDS[asked.kind].same
    return replace(asked, kind=same) if same and asked.volts is None else asked
