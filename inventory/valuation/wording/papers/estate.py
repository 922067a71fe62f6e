"""The estate list as page and PDF show it: in plain words, what to do first before all else.

Care at each hazard: rows of ``holdings.rules.hazard_kinds``; mercury: EPA, what to do if you spill it. What to do first
and last: common practice, no source. Nothing here is legal advice.
"""

from collections.abc import Iterable

from inventory.holdings.models import Item
from inventory.holdings.rules.hazard_words import short_words
from inventory.house.printed import Caution, Cell, Printed, Rows, Section, Words, table
from inventory.valuation.queries.estate import Estate, EstateLine
from inventory.valuation.queries.on_paper import Piece
from inventory.valuation.queries.things import NO_PLACE
from inventory.valuation.queries.worth import added
from inventory.valuation.rules.bases import BASES
from inventory.valuation.rules.plain_words import in_round_figures, plain_word
from inventory.valuation.wording.papers.common import (
    LAW,
    heading_lines,
    meaning_section,
    named,
    not_ours,
    opening,
    tags_told,
)

NOT_TO_DO = (
    "Do not switch anything on and do not plug anything in to see whether it works. Inside are voltages that kill.",
    "Do not open or reach into a set, also when its plug is out: capacitors keep a charge that kills for a long time.",
    "Do not throw anything away: not the tubes, not the paper, not the odd boxes and cables. Some of it must not go to "
    "household waste, and some of the plainest things here are the dearest.",
    "Do not test, clean, oil, polish or take anything apart.",
    "Do not carry heavy sets alone: two people, or a hoist.",
)
FIRST = (
    "Leave everything where it is, lock the rooms, and keep damp and frost out.",
    "Call one of those named below under whom to ask before anything is sold, given or thrown away.",
    "Keep together what belongs together. A book or a plug-in unit without its set is worth little, and so is the set.",
    "Tell the insurer, and let the cover go on.",
    "Before anything is sold, let a second person who knows such things look at the dearest pieces.",
)
COMMON_CARE = (
    "Tubes that hold mercury (drops or a silvery film at the bottom): keep upright. If one breaks: people out, windows "
    "open, no broom, no vacuum cleaner, nothing down the drain.",
    "Dials and marks that glow, or glowed once, may be radium paint: do not open, scrape or clean them; wash hands.",
    "Large cans of capacitors made before July 1979, or undated, may hold PCB oil: never open one, gloves if it leaks.",
    "Fibrous boards, cords and heat shields may be asbestos: do not cut or brush them.",
    "White ceramic of power tubes may be beryllium oxide: its dust is poisonous, so never break, file or grind it.",
    "Large glass bulbs are under vacuum: goggles and gloves, never lifted by the neck.",
)
COLUMNS = (
    ("What it is", 0.25),
    ("Where", 0.14),
    ("Worth", 0.19),
    ("Belongs with", 0.25),
    ("Mind, promised, ask", 0.17),
)


def estate_printed(found: Estate) -> Printed:
    """The first page says what to do; then what is not ours, what is lent and promised; then the list."""
    stated = found.stated
    sections = [
        *_first_page(found),
        *not_ours(found.borrowed, "Not ours: give it back", "here on loan, and nobody's to inherit or sell"),
        *_lent(found), *_promised(found), *_left(found),
    ]  # fmt: skip
    for name, lines in found.buildings.items():
        title = f"What is in {name}" if name != NO_PLACE else "What is in no place that is written down"
        sections.append(Section(title, (_list(lines, stated.currency, name),)))
    sections.append(_sums(found))
    sections.append(meaning_section(stated))
    return Printed("For whoever has to deal with it", heading_lines(stated), tuple(sections), opening(stated))


def _first_page(found: Estate) -> Iterable[Section]:
    yield Section("What not to do", (Caution(NOT_TO_DO, LAW),))
    yield Section("What to do first", (Words(FIRST, points=True),))
    yield _whom_to_ask(found)
    marked = tuple(
        f"{kind.words}: {count} thing{'s' if count > 1 else ''} here. {kind.usual}" for kind, count in found.marked
    )
    blocks = [
        Words(marked, points=True) if marked else Words(("Nobody marked a hazard; that says little of old equipment.",))
    ]
    yield Section(
        "What can hurt here", (*blocks, Words(("Of all such equipment:",)), Words(COMMON_CARE, points=True)), LAW
    )


def _whom_to_ask(found: Estate) -> Section:
    if not found.ask.contacts:
        text = "Nobody is named in the register. Ask a club of radio amateurs, or a museum of radio, before a dealer."
        return Section("Whom to ask", (Words((text,)),))
    rows = [
        (Cell(one.name), Cell(one.reach), Cell(one.about, (one.knows,) if one.knows else ()))
        for one in sorted(found.ask.contacts, key=lambda one: bool(one.item_id or one.place_id or one.kind))
    ]
    return Section("Whom to ask", (table((("Who", 0.28), ("How to reach", 0.38), ("About what", 0.34)), rows),))


def _lent(found: Estate) -> Iterable[Section]:
    if found.lent:
        rows = [
            (named(line.first, line.first.serial, tags_told(line.tags)), Cell(line.lent_to),
             Cell(str(line.first.item.lent_on or "")), Cell(worth(line, found.stated.currency)))
            for line in found.lent
        ]  # fmt: skip
        columns = (("What", 0.34), ("With whom", 0.26), ("Since", 0.14), ("Worth", 0.26))
        yield Section("Ours, but out of the house: ask it back", (table(columns, rows),))


def _promised(found: Estate) -> Iterable[Section]:
    if found.promises:
        rows = [
            (named(piece, piece.serial, tags_told(tags), *_standing(piece)), Cell(promise.to),
             Cell(str(promise.since)), Cell(promise.note))
            for piece, tags, promise in found.promises
        ]  # fmt: skip
        columns = (("What", 0.34), ("To whom", 0.26), ("Since", 0.14), ("Note", 0.26))
        hint = "what the keeper told them; whether that binds anybody is for whoever knows the law there"
        yield Section("Promised", (table(columns, rows),), hint)


def _standing(piece: Piece) -> tuple[str, ...]:
    return (f"in {piece.figure.within}",) if piece.figure.within else ()


def _left(found: Estate) -> Iterable[Section]:
    if found.left:
        rows = [
            (named(line.first, line.first.serial, tags_told(line.tags)), Cell(line.first.away),
             Cell(worth(line, found.stated.currency)))
            for line in found.left
        ]  # fmt: skip
        columns = (("What", 0.38), ("When, how", 0.34), ("Worth then", 0.28))
        hint = "in the figures of the appraisal, here no more, and not in the sum at the end"
        yield Section("Left since it was valued", (table(columns, rows),), hint)


def _list(lines: Iterable[EstateLine], currency: str, building: str) -> Rows:
    return table(COLUMNS, (_row(line, currency, building) for line in lines))


def _row(line: EstateLine, currency: str, building: str) -> tuple[Cell, ...]:
    first = line.first
    what = plain_word(first.figure.kind, first.model_kind)
    serial = f"serial {number}" if (number := getattr(first.row, "serial", "")) else ""
    where = line.place.removeprefix(building).removeprefix(" / ") or line.place or "no place is written down"
    mind = [f"Hazard: {', '.join(words)}." for words in (short_words(line.hazards),) if words]
    if line.promise:
        mind.append(f"Promised to {line.promise.to}.")
    mind += [f"In it, promised to {row.to}: {one.name} {one.tag}." for one, row in line.held_promised]
    if line.ask:
        mind.append(f"Ask {', '.join(one.name for one in line.ask)}.")
    together = [f"In it: {'; '.join(line.holds)}. Leave them in."] if line.holds else []
    if line.with_it:
        together.append(f"{'; '.join(line.with_it)}. Do not sell apart.")
    return (
        named(first, what, serial, tags_told(line.tags), first.figure.grade, count=len(line.pieces)),
        Cell(where, (f"{first.away}.",) if first.away else ()),
        Cell(worth(line, currency)), Cell("", tuple(together)), Cell("", tuple(mind)),
    )  # fmt: skip


def worth(line: EstateLine, currency: str) -> str:
    """What it is worth in words: about 40 to 60 EUR, from 7 sales."""
    if whole := line.first.figure.part_of:
        return f"in the worth of {whole}, with which it stays"
    if line.first.figure.at_most and (line.low is None or line.high is None):
        return f"no amount: {line.first.figure.at_most}"
    if line.low is None or line.high is None:
        return "no sale is known; that is not worthless: ask first"
    sales = f"from {line.sales} sale{'s' if line.sales != 1 else ''}"
    if not line.itself and line.first.figure.kind == Item.CHASSIS:
        held = in_round_figures(line.low, line.high, currency)
        return f"no sale of such a set is known; what is in it alone {held}"
    many = len(line.pieces)
    if many > 1:
        each = in_round_figures(line.low / many, line.high / many, currency)
        return f"{each} each, {in_round_figures(line.low, line.high, currency)} together, {sales}"
    return f"{in_round_figures(line.low, line.high, currency)}, {sales}"


def _sums(found: Estate) -> Section:
    stated = found.stated
    basis = BASES[stated.basis].title if stated.basis in BASES else stated.basis
    if not found.here:
        return Section("All of it", (Words(("No price is known for anything here.",)),))
    ends = added(one.low for one in found.here), added(one.high for one in found.here)
    text = (
        f"All that has a price: {in_round_figures(*ends, stated.currency)}, as {basis}, sold one by one and in peace."
    )
    told = [text, "Sold at once as one lot it fetches less, often much less."]
    if len(found.here) < len(stated.counted):
        told.append("What left since it was valued is not in it.")
    return Section("All of it", (Words(tuple(told)),))
