"""Plans of the demo, what its sets are known to need, and lines of the keeper's own."""

from inventory.demo.actions.finds import Desk, cells, chassis_of, part_type_of, set_model_of
from inventory.demo.actions.tables import Row
from inventory.restoration.actions import (
    record_finding,
    record_work,
    save_plan,
    save_requirement,
    save_weak_part,
    save_weak_said,
)
from inventory.restoration.models import Finding, Plan, Requirement, WeakPart, WeakSaid, Work
from inventory.restoration.queries.set_facts import facts_of
from inventory.restoration.rules.start_sheet import start_checks
from inventory.sets.models import Chassis


def add_plan(row: Row, desk: Desk) -> None:
    plan = Plan(
        **cells(row, "name", "aim", "state", "note"), hours=row.number("hours") or 0,
        priority=int(row.number("priority") or 3), may_take=bool(row.yes("may_take")),
    )  # fmt: skip
    tags = row.text("sets").split()
    sets = list(Chassis.objects.filter(item__tag__in=tags).select_related("item", "model"))
    if len(sets) != len(tags):
        raise row.fault("sets", f"{row.text('sets')!r}, expected tags of sets")
    save_plan(plan, sets, today=desk.last_day, by=desk.by)


def add_weak_part(row: Row, desk: Desk) -> None:
    kind = part_type_of(row, desk) if row.text("kind") else None
    part = WeakPart(
        **cells(row, "mark", "words", "why", "source"), set_model=set_model_of(row), type=kind,
        quantity=int(row.number("quantity") or 1),
    )  # fmt: skip
    save_weak_part(part, by=desk.by)


def add_weak_said(row: Row, desk: Desk) -> None:
    said = WeakSaid(
        weak=row.find("mark", WeakPart.objects.all(), "mark", set_model=set_model_of(row)), on=row.day_or_none("on"),
        **cells(row, "verdict", "source", "page", "words"),
    )  # fmt: skip
    save_weak_said(said, today=desk.last_day, by=desk.by)


def add_requirement(row: Row, desk: Desk) -> None:
    line = Requirement(
        **cells(row, "kind", "words", "waiting_for", "note"), plan=row.find("plan", Plan.objects.all(), "name"),
        chassis=chassis_of(row, "set") if row.text("set") else None, quantity=int(row.number("quantity") or 1),
        before_power=bool(row.yes("before_power")), done_on=row.day_or_none("done_on"),
    )  # fmt: skip
    save_requirement(line, today=desk.last_day, by=desk.by)


def add_work(row: Row, desk: Desk) -> None:
    work = Work(
        **cells(row, "words", "taken_out", "came_from", "before", "after", "by_whom"), on=row.day("on"),
        plan=row.find("plan", Plan.objects.all(), "name"), chassis=chassis_of(row, "set"),
        reversible=row.text("reversible"),
    )  # fmt: skip
    record_work(work, today=desk.last_day, by=desk.by)


def add_finding(row: Row, desk: Desk) -> None:
    plan, chassis = row.find("plan", Plan.objects.all(), "name"), chassis_of(row, "set")
    facts, _ = facts_of(plan, chassis)
    check = next((one for one in start_checks(facts) if one.key == row.text("check")), None)
    if check is None:
        raise row.fault("check", f"{row.text('check')!r} is no check of the start sheet of this set")
    finding = Finding(
        plan=plan, chassis=chassis, step=check.key, asked=check.words, unit=check.unit, on=row.day("on"),
        reading_text=row.text("reading"), all_well=row.yes("all_well"), **cells(row, "result", "by_whom"),
    )  # fmt: skip
    record_finding(finding, today=desk.last_day, by=desk.by)


PLAN_TABLES = (
    ("plans", add_plan, "name aim sets hours priority state may_take note"),
    ("weak_parts", add_weak_part, "set_model mark words kind value volts quantity why source"),
    ("weak_said", add_weak_said, "set_model mark verdict source page on words"),
    ("requirements", add_requirement, "plan set kind words quantity before_power waiting_for done_on note"),
    ("works", add_work, "plan set words on taken_out came_from before after reversible by_whom"),
    ("findings", add_finding, "plan set check on reading all_well result by_whom"),
)
