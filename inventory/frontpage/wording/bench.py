"""The bench report as JSON, and as plain text for a terminal or a printer."""

from typing import Any

from inventory.frontpage.queries import BenchReport
from inventory.frontpage.wording.said import said_only
from inventory.pairing.queries.rows import End, end_of

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


def bench_as_json(report: BenchReport) -> dict[str, Any]:
    """The report in plain lists and dictionaries, ready for JSON."""
    return {
        "on": report.on.isoformat(),
        "pairs_due": [
            {
                "chassis": chassis_named(group.chassis),
                "pairs": [
                    {name: value for name, value in pair.as_dict().items() if name != "chassis"} for pair in group.pairs
                ],
            }
            for group in report.due
        ],
        "pairs_to_reset": [pair.as_dict() for pair in report.to_reset],
        "pairs_presumed": [pair.as_dict() for pair in report.presumed],
        "companions_not_matched": [
            *(pair.as_dict() for pair in report.companions),
            *(row.as_pair(mated.mated_set) for mated, row in report.mated),
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
                **(said_only(in_doubt=f.tube.doubt.word, in_doubt_on=str(f.tube.doubt.on)) if f.tube.doubt else {}),
            }
            for f in report.doubtful
        ],
        "fitted_other_type": [
            {
                "chassis": chassis_named(end_of(f.chassis)),
                "position": f.position.mark,
                "tag": f.tube.tag,
                "text": difference,
                "verdict": judgement.verdict if judgement else None,
            }
            for f, difference, judgement in report.odd
        ],
        "without_place": [{"tag": item.tag, "kind": item.get_kind_display()} for item in report.homeless],
        "without_place_count": report.homeless_count,
        **said_only(
            not_found=[{"tag": i.tag, "kind": i.get_kind_display(), "on": str(i.missed_on)} for i in report.missed],
            not_found_count=report.missed_count,
            rows_to_count=report.to_count,
            type_not_settled_count=report.unsettled,
            fitted_never_tested_count=report.never_tested,
        ),
        **{f"{name}_count": count for name, shown, count in _cut(report) if count > shown},
        **{key: value for section in report.sections for key, value in section.json.items()},
    }


def _cut(report: BenchReport) -> list[tuple[str, int, int]]:
    """Lists of which only the first are told: their key, how many are told, how many there are."""
    return [
        ("pairs_due", report.due_shown, report.due_count),
        ("pairs_to_reset", len(report.to_reset), report.reset_count),
        ("pairs_presumed", len(report.presumed), report.presumed_count),
        ("companions_not_matched", report.companions_shown, report.companion_count),
        ("fitted_doubtful", len(report.doubtful), report.doubtful_count),
        ("fitted_other_type", len(report.odd), report.odd_count),
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
    lines.append(f"Neutralize before going on the air: {_number(report.due_count, 'pair')}")
    for group in report.due:
        lines.append(f"  {group.chassis.name}")
        for pair in group.pairs:
            lines.append(f"    with {pair.unit.name}")
            lines += [f"      - {reason.text}" for reason in pair.reasons]
    lines += _rest(report.due_shown, report.due_count)
    lines += ["", f"Set the dial and verify: {_number(report.reset_count, 'pair')}"]
    for pair in report.to_reset:
        lines.append(f"  {pair.chassis.name} with {pair.unit.name}: dial to {pair.setting}")
        lines += [f"      - {reason.text}" for reason in pair.reasons]
    lines += _rest(len(report.to_reset), report.reset_count)
    lines += ["", f"Presumed by their serials, never checked here: {_number(report.presumed_count, 'pair')}"]
    lines += [f"  {pair.chassis.name} with {pair.unit.name}" for pair in report.presumed]
    lines += _rest(len(report.presumed), report.presumed_count)
    lines += ["", f"Companions to settle: {report.companion_count}"]
    for pair in report.companions:
        lines.append(f"  {pair.unit.name} / {pair.chassis.name}: {pair.state}")
        lines += [f"      - {reason.text}" for reason in pair.reasons]
    for mated, row in report.mated:
        lines.append(f"  {mated.mated_set.name}, {row.part.name}: {row.state}")
        lines += [f"      - {reason.text}" for reason in row.reasons]
    lines += _rest(report.companions_shown, report.companion_count)
    lines += ["", f"In use but in doubt: {_number(report.doubtful_count, 'tube')}"]
    lines += [
        f"  {f.chassis} {f.position.mark}: {f.tube.tag} {f.tube.marked}, {f.tube.state}"
        + (f", {f.tube.doubt.text}" if f.tube.doubt else "")
        for f in report.doubtful
    ]
    lines += _rest(len(report.doubtful), report.doubtful_count)
    if report.never_tested:
        lines.append(f"Called good but never tested here: {_number(report.never_tested, 'tube')} in sets")
    lines += ["", f"Not the type wanted: {_number(report.odd_count, 'tube')}"]
    lines += [
        f"  {f.chassis} {f.position.mark}: {difference}{f' Judged there: {judged.verdict}.' if judged else ''}"
        for f, difference, judged in report.odd
    ]
    lines += _rest(len(report.odd), report.odd_count)
    for section in report.sections:
        lines += ["", section.heading, *(f"  {line}" for line in section.lines)]
    lines += ["", f"Without a place: {_number(report.homeless_count, 'thing')}"]
    lines += [f"  {item.tag} {item.words}" for item in report.homeless]
    lines += _rest(len(report.homeless), report.homeless_count)
    lines += ["", f"Not found at a stock-take: {_number(report.missed_count, 'thing')}"]
    lines += [f"  {item.tag} {item.words}, {item.missed_on}" for item in report.missed]
    lines += _rest(len(report.missed), report.missed_count)
    lines += ["", f"To count: {_number(report.to_count, 'row')} of lists"]
    lines += [f"Type not settled: {_number(report.unsettled, 'tube')}"]
    return lines


def _rest(shown: int, count: int) -> list[str]:
    return [f"  The first {shown} of {count}."] if count > shown else []


def _number(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
