"""What of the stock can stand in for a part in words, alone or put together, and why the rest cannot."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache, partial

from django.db.models import Q, QuerySet, prefetch_related_objects

from inventory.holdings.models import Loan, PartLot
from inventory.holdings.queries.hazard_grounds import HAZARD_FACTS
from inventory.holdings.queries.labels import hazards_of
from inventory.holdings.queries.parts import part_lots
from inventory.holdings.queries.replacement_answer import LotSaid, Replacement
from inventory.holdings.queries.stand_ins import own_words_on, stand_ins_for
from inventory.holdings.rules.alternating import against_it
from inventory.holdings.rules.combining.combine import Combined, combine
from inventory.holdings.rules.combining.sharing import ADDED, StockPart
from inventory.holdings.rules.constructions import construction_of
from inventory.holdings.rules.part_kinds import (
    KINDS,
    PartFigures,
    all_words_of,
    is_section_of,
    kinds_alike,
    over_rated,
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
from inventory.house.concerns import Claim, claims_of_many

MOST_NAMED = 50
READ_FROM_WORDS = "what it is was read from its words: look at it, and give it its kind by Change on its page"
NEEDED = "Of combinations only those are named of which every piece is needed."
SECTION = (
    "one of its sections has that value: they share a can and mostly the minus, so the others are left open or go with "
    "it (common practice, no source), and its words are read as no one value: look at it"
)
UNNAMED = "no kind of part is given on it, and by its words it could serve: give it its kind, by Change on its page"


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
    if combined and combined.combinations:
        wanted = replace(wanted, remarks=(*wanted.remarks, NEEDED))
    own = () if served else own_words_on(wanted.figures, text)
    named = serving[:most]
    borne = _hazards([one.lot for one in named], combined, lots)
    combined = _with_hazards(combined, borne)
    single = tuple(_bearing(one, borne.get(one.lot.tag, ())) for one in named)
    return Replacement(
        text, wanted, single, tuple(refused[:most]), combined, len(serving), len(refused),
        () if served else stand_ins_for(wanted.figures, text), own[:most],
        _without_kind(said), len(own),
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
        if sounds and wanted.alternating and (burst := _bursts(lot)):
            return LotSaid(lot, free, (burst, *there))
        why = SECTION if is_section_of(wanted.figures, f"{lot.name} {lot.value}") else UNNAMED
        return LotSaid(lot, free, (why, *there)) if sounds else None
    figures = _figures(lot)
    found = fits(figures) if not (missing := _unsaid(wanted, lot)) else Fit((missing,), (), ())
    section = figures.value is None and is_section_of(wanted.figures, f"{lot.name} {lot.value} {figures.words}")
    against = (*((SECTION,) if section else ()), *found.against, *there)
    cares = found.cares
    if lot.to_count and not against:
        cares = (*cares, "how many there are is a guess: count them first")
    return LotSaid(lot, 0 if there else free, against, cares, found.why, beside)


def _bursts(lot: PartLot) -> str:
    """Why a capacitor by its words alone may not sit on alternating current; empty where they name none such."""
    made = construction_of("capacitor", f"{lot.name} {lot.value}")
    return against_it(figures_called(PartFigures("capacitor"), f"{lot.name} {lot.value}")) if made else ""


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
    return figures_called(lot.type.figures, f"{lot.name} {lot.value}")


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
