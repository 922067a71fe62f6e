"""The bench report as JSON, and as plain text for a terminal or a printer."""

from collections.abc import Iterator
from typing import Any

from inventory.frontpage.queries import BenchReport
from inventory.frontpage.queries.first import DueGroup
from inventory.frontpage.wording.said import said_only
from inventory.holdings.models import Item
from inventory.house.areas import Section
from inventory.pairing.queries import MatedRow, PairRow
from inventory.pairing.queries.rows import End, end_of
from inventory.sets.models import Fitting
from tubes.rules.judge_parts import Judgement

FIRST_STEPS = (
    "Places: a room, its cabinets, their drawers, on the page Places.",
    "Tubes: one after another in a shelf session, or a list of your own: manage.py import_list FILE --trial.",
    "Set models with their positions and bays, then each chassis and plug-in unit by its serial.",
    "Who may look, help or keep: manage.py add_person.",
)


def chassis_named(end: End) -> dict[str, Any]:
    """A chassis in the bench report, with its tag where it has no number."""
    named = end.as_dict()
    return {name: value for name, value in named.items() if name != "tag" or not end.serial}


def fitted_in_words(report: BenchReport) -> str:
    """What can be said of the tubes in sets where none of them is in doubt."""
    if not report.never_tested:
        return "Every fitted tube is good by the register."
    if report.never_tested == 1:
        return "1 fitted tube is called good but was never tested here."
    return f"{report.never_tested} fitted tubes are called good but were never tested here."


def bench_as_json(report: BenchReport) -> dict[str, Any]:
    """The report in plain lists and dictionaries, ready for JSON."""
    return {
        "on": report.on.isoformat(),
        "pairs_due": [_due_group(group) for group in report.due],
        "pairs_to_reset": [pair.as_dict() for pair in report.to_reset],
        "pairs_presumed": [pair.as_dict() for pair in report.presumed],
        "companions_not_matched": [
            *(pair.as_dict() for pair in report.companions),
            *(row.as_pair(mated.mated_set) for mated, row in report.mated),
        ],
        "fitted_doubtful": [_doubtful(fitting) for fitting in report.doubtful],
        "fitted_other_type": [_other_type(*one) for one in report.odd],
        "without_place": [_thing(item) for item in report.homeless],
        "without_place_count": report.homeless_count,
        **said_only(
            not_found=[{**_thing(item), "on": str(item.missed_on)} for item in report.missed],
            not_found_count=report.missed_count,
            rows_to_count=report.to_count,
            type_not_settled_count=report.unsettled,
            fitted_never_tested_count=report.never_tested,
        ),
        **said_only(**{one.key: [one.as_json(row) for row in one.told] for one in report.sections}),
        **{f"{name}_count": count for name, shown, count in _lists(report) if count > shown},
    }


def _due_group(group: DueGroup) -> dict[str, Any]:
    pairs = [{name: value for name, value in pair.as_dict().items() if name != "chassis"} for pair in group.pairs]
    return {"chassis": chassis_named(group.chassis), "pairs": pairs}


def _doubtful(fitting: Fitting) -> dict[str, Any]:
    tube, position = fitting.tube, fitting.position
    return {
        "chassis": chassis_named(end_of(fitting.chassis)),
        "position": position.mark,
        "tag": tube.tag,
        "type": tube.type.name if tube.type else None,
        "marked": tube.marked,
        "state": tube.state,
        "neutralized": position.neutralized,
        **(said_only(in_doubt=tube.doubt.word, in_doubt_on=str(tube.doubt.on)) if tube.doubt else {}),
    }


def _other_type(fitting: Fitting, difference: str, judged: Judgement | None) -> dict[str, Any]:
    return {
        "chassis": chassis_named(end_of(fitting.chassis)),
        "position": fitting.position.mark,
        "tag": fitting.tube.tag,
        "text": difference,
        "verdict": judged.verdict if judged else None,
    }


def _thing(item: Item) -> dict[str, Any]:
    return {"tag": item.tag, "kind": item.get_kind_display()}


def _lists(report: BenchReport) -> list[tuple[str, int, int]]:
    """Lists of which only the first may be told: their key, how many are told, how many there are."""
    return [
        ("pairs_due", report.due_shown, report.due_count),
        ("pairs_to_reset", len(report.to_reset), report.reset_count),
        ("pairs_presumed", len(report.presumed), report.presumed_count),
        ("companions_not_matched", report.companions_shown, report.companion_count),
        ("fitted_doubtful", len(report.doubtful), report.doubtful_count),
        ("fitted_other_type", len(report.odd), report.odd_count),
        *((one.key, len(one.told), one.count) for one in report.sections),
    ]


def bench_lines(report: BenchReport) -> list[str]:
    """The report as plain text for a terminal or a printer."""
    lines = [
        f"Bench report, {report.on}",
        "High voltage and stored charge kill. Plate supply off, discharged and proved dead before hands go in.",
        "Local codes and licensed practice come first.",
        "",
    ]
    if not report.here.things:
        return [*lines, "Nothing is in the register yet. What to do first:", *(f"  {step}" for step in FIRST_STEPS)]
    parts = [
        *_pairs(report),
        _companions(report),
        *_tubes(report),
        *([one.heading(one.count), *_of_section(one)] for one in report.sections),
        *_things(report),
    ]
    for part in parts:
        lines += [*part, ""]
    return [
        *lines,
        f"To count: {_number(report.to_count, 'row')} of lists",
        f"Type not settled: {_number(report.unsettled, 'tube')}",
    ]


def _pairs(report: BenchReport) -> Iterator[list[str]]:
    due = [f"Neutralize before going on the air: {_number(report.due_count, 'pair')}"]
    for group in report.due:
        due.append(f"  {group.chassis.name}")
        for pair in group.pairs:
            due += [f"    with {pair.unit.name}", *_why(pair)]
    yield due + _rest(report.due_shown, report.due_count)
    dial = [f"Set the dial and verify: {_number(report.reset_count, 'pair')}"]
    for pair in report.to_reset:
        dial += [f"  {pair.chassis.name} with {pair.unit.name}: dial to {pair.setting}", *_why(pair)]
    yield dial + _rest(len(report.to_reset), report.reset_count)
    presumed = [f"  {pair.chassis.name} with {pair.unit.name}" for pair in report.presumed]
    heading = f"Presumed by their serials, never checked here: {_number(report.presumed_count, 'pair')}"
    yield [heading, *presumed, *_rest(len(presumed), report.presumed_count)]


def _companions(report: BenchReport) -> list[str]:
    lines = [f"Companions to settle: {report.companion_count}"]
    for pair in report.companions:
        lines += [f"  {pair.unit.name} / {pair.chassis.name}: {pair.state}", *_why(pair)]
    for mated, row in report.mated:
        lines += [f"  {mated.mated_set.name}, {row.part.name}: {row.state}", *_why(row)]
    return lines + _rest(report.companions_shown, report.companion_count)


def _tubes(report: BenchReport) -> Iterator[list[str]]:
    doubtful = [
        f"  {f.chassis} {f.position.mark}: {f.tube.tag} {f.tube.marked}, {f.tube.state}"
        + (f", {f.tube.doubt.text}" if f.tube.doubt else "")
        for f in report.doubtful
    ]
    doubtful += _rest(len(report.doubtful), report.doubtful_count)
    if report.never_tested:
        doubtful.append(f"Called good but never tested here: {_number(report.never_tested, 'tube')} in sets")
    yield [f"In use but in doubt: {_number(report.doubtful_count, 'tube')}", *doubtful]
    odd = [
        f"  {f.chassis} {f.position.mark}: {difference}{f' Judged there: {judged.verdict}.' if judged else ''}"
        for f, difference, judged in report.odd
    ]
    yield [f"Not the type wanted: {_number(report.odd_count, 'tube')}", *odd, *_rest(len(odd), report.odd_count)]


def _of_section(section: Section) -> list[str]:
    lines = [f"  {line}" for row in section.told for line in section.in_lines(row)]
    return lines + _rest(len(section.told), section.count)


def _things(report: BenchReport) -> Iterator[list[str]]:
    homeless = [f"  {item.tag} {item.words}" for item in report.homeless]
    homeless += _rest(len(report.homeless), report.homeless_count)
    yield [f"Without a place: {_number(report.homeless_count, 'thing')}", *homeless]
    missed = [f"  {item.tag} {item.words}, {item.missed_on}" for item in report.missed]
    missed += _rest(len(report.missed), report.missed_count)
    yield [f"Not found at a stock-take: {_number(report.missed_count, 'thing')}", *missed]


def _why(row: PairRow | MatedRow) -> list[str]:
    return [f"      - {reason.text}" for reason in row.reasons]


def _rest(shown: int, count: int) -> list[str]:
    return [f"  The first {shown} of {count}."] if count > shown else []


def _number(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
