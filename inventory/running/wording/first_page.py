"""What of this area needs a hand, in lines for a terminal and as JSON."""

from collections.abc import Sequence
from typing import Any

from inventory.running.queries import DueLine, SetHours


def due_heading(count: int) -> str:
    return f"Tests and care due within a month: {count}"


def due_in_lines(line: DueLine) -> Sequence[str]:
    return [f"{line.due.thing}: {line.due.what}, {line.due.when}; {line.due.why}"]


def due_as_json(line: DueLine) -> dict[str, Any]:
    due = line.due
    when = due.when.isoformat() if due.when else None
    return {"thing": due.thing, "what": due.what, "when": when, "why": due.why, "overdue": line.standing == "overdue"}


def apart_heading(count: int) -> str:
    return f"Log and meter apart: {count} {'set' if count == 1 else 'sets'}"


def apart_in_lines(one: SetHours) -> Sequence[str]:
    """A line for each meter that is apart from the log."""
    return [
        f"{one.chassis}: {a.percent:.1f} % ({a.log_h:.1f} h by the log, {a.meter_h:.1f} h by {a.name})"
        for a in one.flagged
    ]


def apart_as_json(one: SetHours) -> dict[str, Any]:
    meters = [
        {"name": a.name, "log_h": a.log_h, "meter_h": a.meter_h, "percent": a.percent}
        for a in one.flagged
    ]  # fmt: skip
    return {"tag": one.chassis.tag, "chassis": str(one.chassis), "meters": meters}
