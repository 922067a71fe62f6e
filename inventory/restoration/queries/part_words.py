"""What a line that asks for parts is told: how it stands, by which lots, and why these."""

import math
from dataclasses import dataclass, replace

from inventory.holdings.models import PartLot
from inventory.holdings.queries.labels import hazards_of
from inventory.holdings.rules.part_kinds import farness, show_value
from inventory.holdings.rules.replacement import cares_of, figures_called, hazards_minded
from inventory.restoration.queries.parts import Deal, PartLine
from inventory.restoration.queries.proposed import dealt_to, lots_words
from inventory.restoration.queries.stock import owed_words
from inventory.restoration.rules.words import AFTER_TEST, COVERED, ELSEWHERE, SHORT

MOST_NAMED = 3


@dataclass(frozen=True)
class PartAnswer:
    """How a line of parts stands. ``lot``: the one lot that covers it, where it is one; ``kept``: reserved already;
    ``wanted``: how many it asks for still.

    ``offer``, ``offered``: the key of the line where more can be reserved for it, and of which lots.
    """

    status: str
    by: str
    reasons: tuple[str, ...]
    lot: PartLot | None = None
    kept: int = 0
    offer: str = ""
    wanted: int = 0
    entails: tuple[str, ...] = ()
    offered: str = ""


def told_of_line(deal: Deal, number: int) -> PartAnswer:
    """How one line of parts stands, by what, why, and whom to ask before."""
    rows = [deal.lots[lot] for lot in deal.got(number)]
    asked = tuple(word for row in rows for word in owed_words(row.tag, deal.owed.get(row.pk)))
    return replace(_told(deal, number), offered=lots_words(dealt_to(deal, number)), entails=asked)


def _told(deal: Deal, number: int) -> PartAnswer:
    line, got, missing = deal.lines[number], deal.got(number), deal.missing(number)
    by = "; ".join(_so_many(deal.lots[lot], count) for lot, count in list(got.items())[:MOST_NAMED])
    kept = sum(deal.kept.get(number, {}).values())
    offer = line.key_text if deal.taken[number].any() else ""
    reasons = [*_so_far(line), *deal.lost.get(number, ()), *(care for lot in got for care in _cares(deal.lots[lot]))]
    reasons += [why_this_lot(deal, number, lot) for lot in got]
    guessed = [deal.lots[lot].tag for lot in got if deal.lots[lot].to_count]
    if not missing:
        status = AFTER_TEST if guessed else COVERED
        if guessed:
            reasons.append(f"How many are in {', '.join(guessed[:MOST_NAMED])} is a guess: count them first.")
        only = deal.lots[next(iter(got))] if len(got) == 1 else None
        return PartAnswer(status, by or f"{line.put_in} put in", tuple(reasons), only, kept, offer, line.still)
    able = deal.able(number)
    unsure = [lot for lot in able if deal.lots[lot].to_count or deal.lots[lot].least is None]
    named = ", ".join(deal.lots[lot].tag for lot in unsure[:MOST_NAMED])
    short = f"{missing} of {line.still} missing"
    if unsure and deal.may_hold(unsure) >= missing:
        reasons.append(f"{short}; how many are in {named} is to be counted.")
        return PartAnswer(AFTER_TEST, by or named, tuple(reasons), None, kept, offer, line.still)
    if sum((others := deal.others(number, able, other_plans=True)).values()) >= missing:
        takers = "; ".join(f"{count} to {words}" for words, count in others.most_common(MOST_NAMED))
        reasons.append(f"{short}: they go elsewhere ({takers}).")
        return PartAnswer(ELSEWHERE, by, tuple(reasons), None, kept, offer, line.still)
    others = deal.others(number, able)
    gone = "; ".join(f"{count} to {words}" for words, count in others.most_common(MOST_NAMED))
    reasons.append(f"{short}: no lot of {line.kind} or better has them{f' ({gone})' if gone else ''}.")
    if unsure:
        reasons.append(f"Counting {named} does not close that: {deal.may_hold(unsure):g} more at most.")
    reasons += _like_sounding(deal, number)
    return PartAnswer(SHORT, by, tuple(reasons), None, kept, offer, line.still)


def _so_far(line: PartLine) -> list[str]:
    """How many were put in already, by the work recorded."""
    if not line.put_in:
        return []
    more = f"{line.still} to go" if line.still else "say that the line is done"
    return [f"{line.put_in} of {line.number} are put in by the work recorded: {more}."]


def _like_sounding(deal: Deal, number: int) -> list[str]:
    """Lots that by their words could be what a line asks for, and that nobody called a kind of part."""
    found = deal.sounding(number)
    if not found:
        return []
    named = "; ".join(f"{lot.tag} {lot} ({lot.quantity_text})" for lot in found[:MOST_NAMED])
    more = f"; and {len(found) - MOST_NAMED} more" if len(found) > MOST_NAMED else ""
    return [f"Not counted, since no kind of part is given: {named}{more}. Give it by Change on the page of the lot."]


def _cares(lot: PartLot) -> list[str]:
    """What to mind of a lot, as a search for a replacement tells it: its hazards first."""
    if lot.type is None:
        return []
    borne = hazards_of(lot.item)
    cares = [hazards_minded(borne)] if borne else []
    return [f"{lot.tag}: {care}." for care in (*cares, *cares_of(figures_called(lot.type.figures, lot.name)))]


def _so_many(lot: PartLot, count: int) -> str:
    return f"{count} of {lot.tag}, {lot.item.place or 'without a place'}"


def why_this_lot(deal: Deal, number: int, lot: int) -> str:
    """Why a line gets pieces of this lot: how near it is to what is drawn, and who has the nearer ones."""
    row, kind = deal.lots[lot], deal.lines[number].kind
    assert row.type is not None
    far = farness(kind.figures, row.type.figures)
    near = "the very value" if not far else f"{show_value(row.type.kind, row.type.value)}, within what the line allows"
    if kind.value is None:
        near = "the kind that is asked for"
    told = f"{row.tag} is {row.type}: {near}."
    if kept := deal.kept.get(number, {}).get(lot, 0):
        return f"{told} {'Reserved' if kept >= deal.got(number)[lot] else f'{kept} of them reserved'} for it."
    better = [
        other for other in deal.able(number)
        if deal.costs[number, other] < deal.costs[number, lot] - 1e-9 and math.isfinite(deal.costs[number, other])
    ]  # fmt: skip
    takers = deal.others(number, better)
    if takers:
        first, rest = next(iter(takers)), len(takers) - 1
        told += f" Nearer or cheaper ones go to {first}{f' and {rest} more' if rest else ''}."
    return told
