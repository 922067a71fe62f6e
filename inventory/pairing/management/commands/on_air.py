"""``manage.py on_air``: what a chassis needs before it goes on the air on a frequency."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils import timezone

from inventory.house.command import AnswerCommand, BadInput, parse_day
from inventory.pairing.queries import on_air
from inventory.pairing.queries.rows import agrees, end_of
from inventory.pairing.wording.on_air import on_air_as_json, to_do
from inventory.sets.models import Chassis
from inventory.sets.queries import chassis_here
from tubes.rules.units import parse_frequency_kc


def find_chassis(text: str) -> Chassis:
    """The one chassis that a serial, a tag or words of the model name. Raises BadInput for none or several."""
    found = [chassis for chassis in chassis_here() if text.strip() and agrees(text, end_of(chassis))]
    if len(found) == 1:
        return found[0]
    if not found:
        raise BadInput(f"{text!r}: no chassis here has this serial, tag or model")
    names = "; ".join(chassis.tagged for chassis in found[:8])
    raise BadInput(f"{text!r} can be several: {names}; give the tag")


class Command(AnswerCommand):
    help = "Which units cover a frequency on a chassis, which are ready, and what must be done first."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("chassis", help="serial, tag or words of the model")
        parser.add_argument("--frequency", required=True, help="for example '3.6 Mc'")
        parser.add_argument("--on", help="state at the end of that day, YYYY-MM-DD (today)")

    def answer(self, **options: Any) -> Any:
        kc = parse_frequency_kc(options["frequency"])
        day = parse_day(options["on"]) or timezone.localdate()
        found = on_air(find_chassis(options["chassis"]), kc, day)
        for name in found.coverage_unknown:
            self.stderr.write(f"Coverage not recorded: {name}")
        if not found.units and options["json"]:
            self.stderr.write("No unit here covers that frequency on this chassis.")
        self.found = found
        return on_air_as_json(found)

    def show(self, answer: Any) -> None:
        found = self.found
        self.stdout.write(f"{found.chassis} on {found.frequency_kc:g} kc")
        if found.mercury:
            self.stdout.write(found.mercury.words)
        for row in found.empty:
            wants = f", {row.position.type.name} wanted" if row.position.type else ""
            self.stdout.write(f"Empty: {row.position.mark}{wants}")
        for row, tube in found.doubted:
            if tube.doubt:
                self.stdout.write(f"In doubt: {row.position.mark} {tube.tag}, {tube.doubt.text}")
        for unit in found.units:
            self.stdout.write(f"  {unit.row.unit.name}: {unit.row.state}")
            self.stdout.write(f"      {to_do(unit)}")
            for reason in unit.row.reasons:
                self.stdout.write(f"      - {reason.text}")
        if not found.units:
            self.stdout.write("  No unit here covers that frequency on this chassis.")
        self.stdout.write("Plate supply off, discharged and proved dead before hands go in. RF burns.")
