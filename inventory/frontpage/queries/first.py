"""The two questions of the first page: what is this and do I have one, and what needs a hand today."""

from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.holdings.models import Item, Tube
from inventory.holdings.queries import tubes_here, with_whereabouts
from inventory.house.areas import Section, sections_of, thing_columns
from inventory.lists.queries.uncounted import Uncounted, rows_to_count, uncounted_of
from inventory.pairing.queries import Mated, MatedRow, PairRow, companions_to_settle, mated_to_settle, pairs_open
from inventory.pairing.queries.rows import End, end_of
from inventory.pairing.rules.fold import DUE, PRESUMED, RESET_AND_VERIFY
from inventory.sets.models import Fitting, Seating
from inventory.sets.queries import (
    Stock,
    doubtful_fittings,
    fitted_now,
    good_by_type,
    open_fittings,
    stock_of,
)
from inventory.sets.queries.sockets import positions_wanting
from inventory.sets.queries.substitutes import odd_as_judged
from tubes.queries import Knowledge, MarkRow, TypeCard, knowledge, type_card, types_like
from tubes.rules.judge_parts import Judgement
from tubes.rules.stamp import StampAnswer, fold_key


@dataclass(frozen=True)
class Match:
    """A type that a text can mean: its marks, its relatives, what is owned, where, and which positions want it."""

    card: TypeCard
    stock: Stock
    positions: tuple[tuple[str, str], ...]
    good_relatives: tuple[tuple[str, str, int], ...] = ()  # type, relation, good ones on the shelf
    uncounted: tuple[Uncounted, ...] = ()  # what lists name and nobody counted

    def as_dict(self) -> dict[str, Any]:
        return {
            "type": self.card.name,
            "designations": [_mark_dict(mark) for mark in self.card.marks],
            "relatives": [
                *({"type": name, "relation": "same", "note": ""} for name in self.card.same),
                *({"type": r.type, "relation": r.relation, "note": r.note} for r in self.card.relatives),
            ],
            "owned": self.stock.as_dict(),
            "places": [{"place": p, "good": good, "untested": untested} for p, good, untested in self.stock.places],
            "positions": [{"set_model": model, "position": mark} for model, mark in self.positions],
            **said_only(not_found=self.stock.missed, uncounted=[one.as_dict() for one in self.uncounted]),
        }


def said_only(**keys: Any) -> dict[str, Any]:
    """Keys of an answer that are there only where they have something to say."""
    return {key: value for key, value in keys.items() if value}


def chassis_named(end: End) -> dict[str, Any]:
    """A chassis in the bench report, with its tag where it has no number."""
    named = end.as_dict()
    return {name: value for name, value in named.items() if name != "tag" or not end.serial}


def _mark_dict(mark: MarkRow) -> dict[str, str]:
    names = ("scheme", "designation", "relation", "note", "source")
    return {name: getattr(mark, name) for name in names}


@dataclass(frozen=True)
class LookUp:
    """The answer to a text: how it reads, and each type that it can mean. ``like``: type names to try instead."""

    query: str
    stamp: StampAnswer
    matches: tuple[Match, ...]
    like: tuple[str, ...] = ()
    refuted: tuple[MarkRow, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        return {"query": self.query, "matches": [match.as_dict() for match in self.matches]}


def look_up(text: str) -> LookUp:
    """Read a text as a stamp and gather, for each type it can mean, what is known and owned."""
    known = knowledge()
    stamp = known.read(text)
    names = _types_meant(stamp, known)
    matches = tuple(_match(name, known) for name in names)
    like = () if matches else tuple(types_like(text, known))
    key = fold_key(text)
    refuted = tuple(mark for mark in known.refuted if key and fold_key(mark.designation) == key)
    return LookUp(text, stamp, matches, like, refuted)


def _types_meant(stamp: StampAnswer, known: Knowledge) -> list[str]:
    """Types by the readings, the tube itself first, each once.

    A mark that names a tube of its own (6SN7WGT) comes before the types it is related to. A type named by its plain
    number is left out where a table row already gave the same tube under another name.
    """
    names: list[str] = []
    for reading in stamp.readings:
        own = reading.designation in known.types and reading.relation != "same"
        if own and reading.designation not in names:
            names.insert(0, reading.designation)
        if reading.type is None or reading.type in names:
            continue
        if reading.scheme == "plain" and known.kin.same_as(reading.type) & set(names):
            continue
        names.append(reading.type)
    return names


def _match(name: str, known: Knowledge) -> Match:
    card = type_card(name, known)
    same = (name, *card.same)
    counts = good_by_type(r.type for r in card.relatives if not r.unchecked)
    good = tuple((r.type, r.relation, counts[r.type]) for r in card.relatives if counts.get(r.type))
    positions = tuple((position.set_model.name, position.mark) for position in positions_wanting(same))
    return Match(card, stock_of(same), positions, good, tuple(uncounted_of(same)))


def pieces_for(found: LookUp, limit: int = 60) -> list[Tube]:
    """The tubes that a look-up is about: of the types meant, and untyped ones that bear the very text."""
    names = {name for match in found.matches for name in (match.card.name, *match.card.same)}
    marked = Q(type__isnull=True, marked__icontains=found.query.strip())
    rows = tubes_here().filter(Q(type__name__in=names) | marked)
    fitted = fitted_now()
    return list(rows.annotate(is_fitted=fitted).order_by("state", "item_id")[:limit])


def untyped_bearing(text: str, limit: int = 12) -> list[Tube]:
    """Tubes here whose type is not settled and whose mark holds this text (one query)."""
    words = text.replace("\0", "").strip()
    if len(words) < 3:
        return []
    rows = tubes_here().filter(type__isnull=True, marked__icontains=words).select_related("item__place")
    return list(rows.order_by("item_id")[:limit])


@dataclass(frozen=True)
class DueGroup:
    """Pairs due on one chassis."""

    chassis: Any
    pairs: tuple[PairRow, ...]


@dataclass(frozen=True)
class BenchReport:
    """What needs a hand on a day."""

    on: date
    due: tuple[DueGroup, ...]
    to_reset: tuple[PairRow, ...]
    presumed: tuple[PairRow, ...]
    companions: tuple[PairRow, ...]
    mated: tuple[tuple[Mated, MatedRow], ...]
    doubtful: tuple[Fitting, ...]
    odd: tuple[tuple[Fitting, str, Judgement | None], ...]
    homeless: tuple[Item, ...]
    homeless_count: int
    missed: tuple[Item, ...] = ()  # not found at a stock-take, and not seen since
    missed_count: int = 0
    to_count: int = 0  # rows of lists whose tubes nobody counted
    unsettled: int = 0  # tubes here that are spares for nothing, since their type is not settled
    sections: tuple[Section, ...] = ()  # what areas add of their own

    @property
    def due_count(self) -> int:
        return sum(len(group.pairs) for group in self.due)

    @property
    def companion_count(self) -> int:
        return len(self.companions) + len(self.mated)

    def as_dict(self) -> dict[str, Any]:
        return {
            "on": self.on.isoformat(),
            "pairs_due": [
                {
                    "chassis": chassis_named(group.chassis),
                    "pairs": [
                        {name: value for name, value in pair.as_dict().items() if name != "chassis"}
                        for pair in group.pairs
                    ],
                }
                for group in self.due
            ],
            "pairs_to_reset": [pair.as_dict() for pair in self.to_reset],
            "pairs_presumed": [pair.as_dict() for pair in self.presumed],
            "companions_not_matched": [
                *(pair.as_dict() for pair in self.companions),
                *(row.as_pair(mated.mated_set) for mated, row in self.mated),
            ],
            "fitted_doubtful": [
                {
                    "chassis": chassis_named(end_of(f.chassis)),
                    "position": f.position.mark,
                    "tag": f.tube.tag,
                    "type": f.tube.type.name if f.tube.type else None,
                    "marked": f.tube.marked,
                    "state": f.tube.state,
                    "neutralized": f.position.neutralized,
                }
                for f in self.doubtful
            ],
            "fitted_other_type": [
                {
                    "chassis": chassis_named(end_of(f.chassis)),
                    "position": f.position.mark,
                    "tag": f.tube.tag,
                    "text": difference,
                    "verdict": judgement.verdict if judgement else None,
                }
                for f, difference, judgement in self.odd
            ],
            "without_place": [{"tag": item.tag, "kind": item.get_kind_display()} for item in self.homeless],
            "without_place_count": self.homeless_count,
            **said_only(
                not_found=[{"tag": i.tag, "kind": i.get_kind_display(), "on": str(i.missed_on)} for i in self.missed],
                not_found_count=self.missed_count,
                rows_to_count=self.to_count,
                type_not_settled_count=self.unsettled,
            ),
            **{key: value for section in self.sections for key, value in section.json.items()},
        }


HOMELESS_SHOWN = 200


def bench_report(on: date) -> BenchReport:
    """Pairs due by chassis with reasons, companions to settle, doubtful tubes in use, things without a place."""
    open_pairs = pairs_open(on)
    groups = groupby((row for row in open_pairs if row.state == DUE), key=lambda row: row.chassis)
    due = tuple(DueGroup(chassis, tuple(rows)) for chassis, rows in groups)
    homeless, missed = without_place(), not_found()
    return BenchReport(
        on,
        due,
        tuple(row for row in open_pairs if row.state == RESET_AND_VERIFY),
        tuple(row for row in open_pairs if row.state == PRESUMED),
        tuple(companions_to_settle(on)),
        tuple(mated_to_settle(on)),
        tuple(doubtful_fittings()),
        tuple(odd_as_judged()),
        tuple(homeless[:HOMELESS_SHOWN]),
        homeless.count(),
        tuple(missed[:HOMELESS_SHOWN]),
        missed.count(),
        rows_to_count().count(),
        tubes_here().filter(type__isnull=True).count(),
        sections_of(on),
    )


def not_found() -> QuerySet[Item]:
    """Things that a stock-take did not find and nobody has seen since, the latest first."""
    rows = with_whereabouts(Item.objects.filter(missed_on__isnull=False, gone_on__isnull=True))
    return rows.select_related(*thing_columns()).order_by("-missed_on", "tag")


def without_place() -> QuerySet[Item]:
    """Things here, in no place, in no set and not lent."""
    fitted = Exists(open_fittings().filter(tube__item=OuterRef("pk")))
    seated = Exists(Seating.objects.filter(until__isnull=True, unit__item=OuterRef("pk")))
    rows = Item.objects.filter(~fitted, ~seated, Q(lent_to=""), place__isnull=True, gone_on__isnull=True)
    return rows.select_related(*thing_columns()).order_by("tag")


def bench_lines(report: BenchReport) -> list[str]:
    """The report as plain text for a terminal or a printer."""
    lines = [
        f"Bench report, {report.on}",
        "High voltage and stored charge kill. Plate supply off, discharged and proved dead before hands go in.",
        "Local codes and licensed practice come first.",
        "",
    ]
    lines.append(f"Neutralize before going on the air: {_number(report.due_count, 'pair')}")
    for group in report.due:
        lines.append(f"  {group.chassis.name}")
        for pair in group.pairs:
            lines.append(f"    with {pair.unit.name}")
            lines += [f"      - {reason.text}" for reason in pair.reasons]
    lines += ["", f"Set the dial and verify: {_number(len(report.to_reset), 'pair')}"]
    for pair in report.to_reset:
        lines.append(f"  {pair.chassis.name} with {pair.unit.name}: dial to {pair.setting}")
        lines += [f"      - {reason.text}" for reason in pair.reasons]
    lines += ["", f"Presumed by their serials, never checked here: {_number(len(report.presumed), 'pair')}"]
    lines += [f"  {pair.chassis.name} with {pair.unit.name}" for pair in report.presumed]
    lines += ["", f"Companions to settle: {report.companion_count}"]
    for pair in report.companions:
        lines.append(f"  {pair.unit.name} / {pair.chassis.name}: {pair.state}")
        lines += [f"      - {reason.text}" for reason in pair.reasons]
    for mated, row in report.mated:
        lines.append(f"  {mated.mated_set.name}, {row.part.name}: {row.state}")
        lines += [f"      - {reason.text}" for reason in row.reasons]
    lines += ["", f"In use but in doubt: {_number(len(report.doubtful), 'tube')}"]
    lines += [f"  {f.chassis} {f.position.mark}: {f.tube.tag} {f.tube.marked}, {f.tube.state}" for f in report.doubtful]
    lines += ["", f"Not the type wanted: {_number(len(report.odd), 'tube')}"]
    lines += [
        f"  {f.chassis} {f.position.mark}: {difference}{f' Judged there: {judged.verdict}.' if judged else ''}"
        for f, difference, judged in report.odd
    ]
    for section in report.sections:
        lines += ["", section.heading, *(f"  {line}" for line in section.lines)]
    lines += ["", f"Without a place: {_number(report.homeless_count, 'thing')}"]
    lines += [f"  {item.tag} {item.words}" for item in report.homeless]
    lines += ["", f"Not found at a stock-take: {_number(report.missed_count, 'thing')}"]
    lines += [f"  {item.tag} {item.words}, {item.missed_on}" for item in report.missed]
    lines += ["", f"To count: {_number(report.to_count, 'row')} of lists"]
    lines += [f"Type not settled: {_number(report.unsettled, 'tube')}"]
    return lines


def _number(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
